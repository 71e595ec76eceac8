#include "report/way_back.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"

namespace halfsplit::report {

void print(std::ostream& out, const WayBack& way, const Style& style) {
  print(out, way.slip, style);
  if (way.steps.empty()) {
    out << (way.power_on ? "Nothing is apart; only the power is off.\n" : "Nothing is apart.\n");
    return;
  }
  out << inked("The way back:", Ink::strong, style) << '\n';
  std::size_t number = 0;
  for (const BackStep& step : way.steps) {
    paragraph(out, step.step + (step.remark.empty() ? "" : "  (" + step.remark + ")"), style, fmt::format("  {:>2}. ", ++number));
    if (!step.ask.empty()) paragraph(out, step.ask, Ink::faint, style, "      ");
  }
  if (!way.small_parts.empty()) paragraph(out, "Small parts to account for: " + join(way.small_parts, ", ") + ". One left over means one step is not done.", style);
  if (way.power_on) paragraph(out, "Power on last; a supply that was apart is measured alone first.", style);
}

Json json_of(const WayBack& way) {
  Json out, steps = Json::array();
  for (const BackStep& step : way.steps) {
    Json one;
    steps.push(one.set("step", step.step).set("remark", step.remark).set("ask", step.ask).set("when", step.when));
  }
  out.set("schema", "halfsplit/way-back/1").set("steps", std::move(steps)).set("small_parts", json_of(way.small_parts)).set("power_on", way.power_on);
  add_json(out, way.slip);
  return out;
}

}  // namespace halfsplit::report
