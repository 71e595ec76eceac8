// Sections reading, action, repair, chip, find, tryout, astray: bench minutes.
#include "base/text.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

const std::vector<std::string>& action_words() {
  static const std::vector<std::string> words{"power-off", "pull", "lift", "lift-socketed", "unplug", "bridge", "hold", "force", "open", "fit"};
  return words;
}

/// minutes, risk in percent, note.
template <class Row>
void read_price(Fields& fields, Row& row) {
  read_entry(fields, row);
  row.minutes = need_minutes(fields, "minutes");
  row.risk = number_within(fields, "risk", 0, 100, 0);
  row.note = fields.text("note").value_or("");
}

ActionMinutes read_action(Fields& fields) {
  ActionMinutes row;
  read_price(fields, row);
  row.kind = fields.need_text("kind");
  row.undo = need_minutes(fields, "undo");
  for (const std::string& word : action_words())
    if (word == row.kind) return row;
  const auto near = did_you_mean(row.kind, action_words());
  fields.fail(in_quotes(row.kind) + " is no action", fields.place(), near ? "did you mean " + in_quotes(*near) + "?" : "known: " + join(action_words(), ", "));
  return row;
}

ChipMinutes read_chip(Fields& fields) {
  ChipMinutes row;
  read_price(fields, row);
  const bool socketed = fields.boolean("socketed").value_or(false);
  const std::optional<std::int64_t> pins = fields.integer("pins");
  if (socketed == pins.has_value()) fields.fail("a chip is told by its pins, or it is socketed = true", fields.place());
  if (pins && (*pins < 1 || *pins > 1000)) fields.fail("a chip has 1 to 1000 pins", fields.place());
  row.pins = pins.value_or(0);
  row.fit = socketed ? row.minutes : need_minutes(fields, "fit");
  return row;
}

void read_single(Fields& top, std::string_view key, std::optional<SingleMinutes>& into, Errors& errors) {
  SingleMinutes single;
  const bool told = for_table(top, key, errors, [&](Fields& fields) {
    read_entry(fields, single, key);
    single.minutes = need_minutes(fields, "minutes");
  });
  if (told) into = single;
}

}  // namespace

void read_minutes(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "reading", errors, [&](Fields& fields) {
    ReadingMinutes row;
    read_price(fields, row);
    if (const auto kind = need_kind(fields)) row.kind = *kind;
    entries.readings.push_back(std::move(row));
  });
  for_each_table(top, "action", errors, [&](Fields& fields) { entries.actions.push_back(read_action(fields)); });
  for_each_table(top, "repair", errors, [&](Fields& fields) {
    RepairMinutes row;
    read_price(fields, row);
    row.rate_class = fields.need_text("class");
    row.technology = fields.text("technology").value_or("");
    entries.repairs.push_back(std::move(row));
  });
  for_each_table(top, "chip", errors, [&](Fields& fields) { entries.chips.push_back(read_chip(fields)); });
  read_single(top, "find", entries.find, errors);
  read_single(top, "tryout", entries.tryout, errors);
  read_single(top, "astray", entries.astray, errors);
}

}  // namespace halfsplit::knowledge
