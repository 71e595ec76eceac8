// Sections modifier, unlisted, drawing: what is known of a machine and place beside the class of a part.
#include "base/text.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

Modifier::On need_on(Fields& fields) {
  const std::string word = fields.need_text("on");
  if (word == "joint") return Modifier::On::joint;
  if (word == "outside") return Modifier::On::outside;
  if (word != "part") fields.fail("a modifier acts on part, joint or outside, not on " + in_quotes(word), fields.place());
  return Modifier::On::part;
}

Modifier read_modifier(Fields& fields) {
  Modifier out;
  read_entry(fields, out);
  out.on = need_on(fields);
  out.classes = fields.texts("class").value_or(std::vector<std::string>{});
  out.rail_from = fields.number("rail-from");
  out.rail_to = fields.number("rail-to");
  out.socketed = fields.boolean("socketed");
  out.worked_on = fields.boolean("worked-on");
  out.in_leak = fields.boolean("in-leak");
  out.earlier_work = fields.text("earlier-work").value_or("");
  if (!out.earlier_work.empty() && out.earlier_work != "known" && out.earlier_work != "none")
    fields.fail("earlier-work is \"known\" or \"none\"", fields.place());
  out.hazard = fields.text("hazard").value_or("");
  out.spread = fields.boolean("spread").value_or(false);
  if (out.spread && out.on != Modifier::On::joint) fields.fail("only the joints' rate can be spread", fields.place());
  out.factor = number_within(fields, "factor", 1e-3, 1e3);
  out.note = fields.text("note").value_or("");
  return out;
}

}  // namespace

void read_circumstances(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "modifier", errors, [&](Fields& fields) { entries.modifiers.push_back(read_modifier(fields)); });
  Chance unlisted;
  if (for_table(top, "unlisted", errors, [&](Fields& fields) {
        read_entry(fields, unlisted, "unlisted");
        unlisted.chance = number_within(fields, "share", 1e-6, 0.9);
      }))
    entries.unlisted = unlisted;
  DrawingDoubt drawing;
  if (for_table(top, "drawing", errors, [&](Fields& fields) {
        read_entry(fields, drawing, "drawing");
        drawing.pin = number_within(fields, "pin", 1e-12, 0.1);
        drawing.unconfirmed = number_within(fields, "unconfirmed", 1e-3, 1e3);
        drawing.custom = number_within(fields, "custom", 1e-3, 1e3);
      }))
    entries.drawing = drawing;
}

}  // namespace halfsplit::knowledge
