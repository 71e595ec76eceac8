#include "report/tracing.h"

#include <fmt/core.h>

#include <ostream>

#include "plan/wording.h"
#include "report/table.h"

namespace halfsplit::report {

void print(std::ostream& out, const Tracing& tracing, const Style& style) {
  print(out, tracing.slip, style);
  out << inked(tracing.machine, Ink::strong, style) << '\n';
  Table table;
  for (const BusLine& bus : tracing.buses) {
    const std::string what = bus.settled ? "settled" : bus.measure.empty() ? "ruled out" : "measure " + bus.measure;
    table.row({bus.title, bus.from + " to " + bus.to, fmt::format("{} line{}", bus.lanes, bus.lanes == 1 ? "" : "s"), plan::percent(bus.chance), what});
  }
  table.print(out, style, 2);
  if (tracing.buses.empty()) out << "  no bus that these chips have in common\n";
  paragraph(out, fmt::format("{} pin{} hang{} on something not traced yet.", tracing.untraced, tracing.untraced == 1 ? "" : "s", tracing.untraced == 1 ? "s" : ""), style);
  for (const BusLine& bus : tracing.buses) {
    if (bus.settled || bus.measure.empty()) continue;
    paragraph(out, fmt::format("With the power off, from tip to tip: halfsplit read {} beep (or: no beep)", bus.measure), style, "Then type: ");
    break;
  }
}

Json json_of(const Tracing& tracing) {
  Json out, buses = Json::array();
  for (const BusLine& bus : tracing.buses) {
    Json one;
    one.set("title", bus.title).set("from", bus.from).set("to", bus.to).set("lines", bus.lanes).set("p", json_share(bus.chance)).set("settled", bus.settled);
    buses.push(one.set("measure", bus.measure.empty() ? Json() : Json(bus.measure)));
  }
  out.set("schema", "halfsplit/sketch/1").set("machine", tracing.machine).set("buses", std::move(buses)).set("untraced", tracing.untraced);
  add_json(out, tracing.slip);
  return out;
}

}  // namespace halfsplit::report
