// Sections look, doubt, sure, spare: what each kind of look is worth, how often a reading itself is wrong, and how often a spare is bad.
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

Look read_look(Fields& fields, Errors& errors) {
  Look look;
  read_entry(fields, look);
  look.title = fields.need_text("title");
  look.note = fields.text("note").value_or("");
  for (const std::string& name : fields.texts("kinds").value_or(std::vector<std::string>{}))
    if (const auto kind = kind_named(fields, name, fields.place())) look.kinds.push_back(*kind);
  const bool told = for_table(fields, "false-alarm", errors, [&](Fields& alarm) {
    look.false_alarm = number_within(alarm, "rate", 1e-6, 1);
    look.alarms = number_within(alarm, "alarms", 0, 1e9, 0);
    look.clears = number_within(alarm, "clears", 0, 1e9, 0);
    look.prior_false_alarm = number_within(alarm, "prior", 0, 1, 0);
  });
  if (!told) fields.fail("false-alarm is missing", fields.place(), "as in false-alarm = { rate = 0.05 }");
  for_each_table(fields, "groups", errors, [&](Fields& group) {
    look.groups.push_back({group.need_text("group"), number_within(group, "sensitivity", 0, 1), number_within(group, "hits", 0, 1e9, 0),
                           number_within(group, "misses", 0, 1e9, 0), number_within(group, "prior", 0, 1, 0), group.place()});
  });
  return look;
}

}  // namespace

void read_evidence(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "look", errors, [&](Fields& fields) { entries.looks.push_back(read_look(fields, errors)); });
  for_each_table(top, "doubt", errors, [&](Fields& fields) {
    Doubt doubt;
    read_entry(fields, doubt);
    if (const auto kind = need_kind(fields)) doubt.kind = *kind;
    doubt.chance = number_within(fields, "chance", 1e-9, 0.5);
    doubt.note = fields.text("note").value_or("");
    entries.doubts.push_back(std::move(doubt));
  });
  for_each_table(top, "spare", errors, [&](Fields& fields) {
    SpareGrade spare;
    read_entry(fields, spare);
    spare.grade = fields.need_text("grade");
    spare.bad = number_within(fields, "bad", 1e-6, 0.9);
    spare.note = fields.text("note").value_or("");
    entries.spares.push_back(std::move(spare));
  });
  Chance sure;
  if (for_table(top, "sure", errors, [&](Fields& fields) {
        read_entry(fields, sure, "sure");
        sure.chance = number_within(fields, "chance", 1e-12, 0.01);
      }))
    entries.sure = sure;
}

}  // namespace halfsplit::knowledge
