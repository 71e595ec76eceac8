#include "knowledge/read_pack.h"

#include <fmt/core.h>

#include "base/text.h"

namespace halfsplit::knowledge {

void for_each_table(Fields& top, std::string_view key, Errors& errors, const std::function<void(Fields&)>& read) {
  const Node* list = top.array(key);
  if (!list) return;
  for (const Node& item : list->items) {
    Fields fields(item, errors);
    if (item.kind != Node::Kind::table) continue;
    read(fields);
    fields.finish();
  }
}

bool for_table(Fields& top, std::string_view key, Errors& errors, const std::function<void(Fields&)>& read) {
  const Node* table = top.table(key);
  if (!table) return false;
  Fields fields(*table, errors);
  read(fields);
  fields.finish();
  return true;
}

void read_entry(Fields& fields, Entry& entry, std::string_view id) {
  entry.place = fields.place();
  entry.id = id.empty() ? fields.need_text("id") : std::string(id);
  entry.source = fields.need_text("source");
  entry.version = static_cast<std::int64_t>(fields.need_number("version"));
  if (entry.version < 0) fields.fail("a version counts from 1", fields.place());
}

double number_within(Fields& fields, std::string_view key, double low, double high, std::optional<double> otherwise) {
  const std::optional<double> told = fields.number(key);
  if (!told) {
    if (!otherwise) fields.fail(std::string(key) + " is missing", fields.place());
    return otherwise.value_or(low);
  }
  if (*told >= low && *told <= high) return *told;
  fields.fail(fmt::format("{} is {}, it must lie between {} and {}", key, shown(*told), shown(low), shown(high)), fields.place());
  return low;
}

std::optional<observe::Kind> kind_named(Fields& fields, std::string_view name, const Place& place) {
  std::vector<std::string> known;
  for (int i = 0; i <= static_cast<int>(observe::Kind::count); ++i) {
    const auto kind = static_cast<observe::Kind>(i);
    if (name == observe::name_of(kind)) return kind;
    known.emplace_back(observe::name_of(kind));
  }
  const std::optional<std::string> near = did_you_mean(name, known);
  fields.fail(in_quotes(name) + " is no kind of reading", place, near ? "did you mean " + in_quotes(*near) + "?" : "known: " + join(known, ", "));
  return std::nullopt;
}

std::optional<observe::Kind> need_kind(Fields& fields) { return kind_named(fields, fields.need_text("kind"), fields.place()); }

Minutes need_minutes(Fields& fields, std::string_view key) {
  const Node* list = fields.array(key);
  const auto complain = [&](const Place& place) { fields.fail(fmt::format("{} must be [low, typical, high], rising, in minutes", key), place); };
  if (!list) return complain(fields.place()), Minutes{};
  std::vector<double> numbers;
  for (const Node& item : list->items)
    if (item.kind == Node::Kind::integer || item.kind == Node::Kind::real) numbers.push_back(item.real);
  const bool good = list->items.size() == 3 && numbers.size() == 3 && numbers[0] >= 0 && numbers[0] <= numbers[1] && numbers[1] <= numbers[2] && numbers[2] <= 10000;
  if (!good) return complain(list->place), Minutes{};
  return {numbers[0], numbers[1], numbers[2]};
}

std::vector<std::string> need_texts(Fields& fields, std::string_view key) {
  const std::optional<std::vector<std::string>> told = fields.texts(key);
  if (!told || told->empty()) fields.fail(std::string(key) + " must be a list of texts and not empty", fields.place());
  return told.value_or(std::vector<std::string>{});
}

void read_pack(const halfsplit::Node& document, Entries& entries, Errors& errors) {
  Fields top(document, errors);
  top.need_format(1);
  Pack pack;
  pack.file = document.place.file;
  pack.id = top.need_text("id");
  pack.title = top.need_text("title");
  pack.version = static_cast<std::int64_t>(top.need_number("version"));
  entries.packs.push_back(std::move(pack));
  for_each_table(top, "source", errors, [&](Fields& fields) { entries.sources.push_back({fields.need_text("id"), fields.need_text("title"), fields.place()}); });
  read_rates(top, entries, errors);
  read_modes(top, entries, errors);
  read_evidence(top, entries, errors);
  read_minutes(top, entries, errors);
  read_circumstances(top, entries, errors);
  read_symptoms(top, entries, errors);
  read_learning(top, entries, errors);
  read_procedures(top, entries, errors);
  top.finish();
}

}  // namespace halfsplit::knowledge
