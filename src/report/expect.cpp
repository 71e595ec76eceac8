#include "report/expect.h"

#include <ostream>

#include "report/table.h"

namespace halfsplit::report {
namespace {

Json row_head(const ExpectRow& row, const char* kind, const std::string& value) {
  Json out;
  return out.set("point", row.point).set("kind", kind).set("value", value.empty() ? Json() : Json(value));
}

Json row_tail(Json out, const ExpectRow& row, bool volts) {
  out.set("low", volts ? json_share(row.low_v) : Json()).set("high", volts ? json_share(row.high_v) : Json()).set("unit", volts ? Json("V") : Json());
  return out.set("name", row.name).set("net", row.net).set("why", row.why);
}

}  // namespace

void print(std::ostream& out, const Expect& expect, const Style& style) {
  print(out, expect.slip, style);
  bool first = true;
  for (const ExpectGroup& group : expect.groups) {
    if (!first) out << '\n';
    first = false;
    out << inked(group.title, Ink::strong, style) << '\n';
    Table table;
    for (const ExpectRow& row : group.rows) {
      const std::string volts = row.volts.empty() ? (row.works.empty() ? "-" : "") : row.volts;
      if (!row.unpowered.empty()) {
        table.row({row.point, "", row.unpowered + ", machine off", row.volts, row.why});
        continue;
      }
      const std::string probe = row.works.empty() ? (row.probe.empty() ? "-" : row.probe) : row.works;
      table.row({row.number.empty() ? row.point : row.number, row.name, probe, volts, row.why});
    }
    table.print(out, style, 2);
  }
}

Json json_of(const Expect& expect) {
  Json out, rows = Json::array();
  for (const ExpectGroup& group : expect.groups)
    for (const ExpectRow& row : group.rows) {
      if (!row.works.empty()) {
        rows.push(row_tail(row_head(row, "function", row.works), row, false));
        continue;
      }
      if (!row.unpowered.empty()) {
        Json out_of_power = row_head(row, row.unpowered.c_str(), row.volts);
        out_of_power.set("low", json_share(row.low_v)).set("high", json_share(row.high_v)).set("unit", row.unpowered == "ohms" ? "ohm" : "V");
        rows.push(out_of_power.set("name", row.name).set("net", row.net).set("why", row.why));
        continue;
      }
      rows.push(row_tail(row_head(row, "probe", row.probe), row, false));
      rows.push(row_tail(row_head(row, "DC volts", row.volts), row, !row.volts.empty()));
    }
  out.set("schema", "halfsplit/expect/1").set("machine", expect.machine).set("rows", std::move(rows));
  add_json(out, expect.slip);
  return out;
}

}  // namespace halfsplit::report
