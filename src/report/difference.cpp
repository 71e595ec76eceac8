#include "report/difference.h"

#include <fmt/core.h>

#include <algorithm>
#include <ostream>

#include "base/text.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

constexpr char kNone[] = "No difference I can compute.";
constexpr char kNotComputed[] = "Not computed: switching times, noise on the rails, analogue levels and current.";

std::string told(const std::string& value) { return value.empty() ? "not told" : value; }

}  // namespace

void print(std::ostream& out, const Difference& difference, const Style& style, std::size_t rows) {
  print(out, difference.slip, style);
  paragraph(out, join(difference.changes, "; ") + ", on a good " + difference.machine + ":", Ink::strong, style);
  if (difference.empty()) paragraph(out, kNone, style, "  ");
  Table table;
  for (std::size_t i = 0; i < std::min(rows, difference.rows.size()); ++i) {
    const DifferenceRow& row = difference.rows[i];
    table.row({row.title, row.kind, told(row.before) + "  ->  " + told(row.after)});
  }
  table.print(out, style, 2);
  if (difference.rows.size() > rows) paragraph(out, fmt::format("and {} more (--all shows them)", difference.rows.size() - rows), style, "  ");
  for (std::size_t i = 0; i < std::min(rows, difference.findings.size()); ++i) paragraph(out, difference.findings[i], Ink::strong, style, "  Doubtful: ");
  if (difference.findings.size() > rows) paragraph(out, fmt::format("and {} doubts more", difference.findings.size() - rows), style, "  ");
  for (const std::string& remark : difference.remarks) paragraph(out, remark, style, "  ");
  paragraph(out, kNotComputed, Ink::faint, style, "  ");
}

Json json_of(const Difference& difference) {
  Json out, rows = Json::array();
  for (const DifferenceRow& row : difference.rows) {
    Json one;
    one.set("point", row.point).set("title", row.title).set("kind", row.kind);
    rows.push(one.set("before", row.before.empty() ? Json() : Json(row.before)).set("after", row.after.empty() ? Json() : Json(row.after)));
  }
  out.set("schema", "halfsplit/difference/1").set("machine", difference.machine).set("changes", json_of(difference.changes)).set("rows", std::move(rows));
  out.set("findings", json_of(difference.findings)).set("remarks", json_of(difference.remarks)).set("none", difference.empty());
  add_json(out, difference.slip);
  return out;
}

std::string summary(const Difference& difference) {
  constexpr std::size_t kTold = 3;
  if (difference.empty()) return "On a good machine it would change nothing that I can compute.";
  std::vector<std::string> pieces;
  for (std::size_t i = 0; i < std::min(kTold, difference.rows.size()); ++i) pieces.push_back(fmt::format("{} {} instead of {}", difference.rows[i].title, told(difference.rows[i].after), told(difference.rows[i].before)));
  if (difference.rows.size() > kTold) pieces.push_back(fmt::format("and {} more places", difference.rows.size() - kTold));
  std::string out = pieces.empty() ? "" : "On a good machine it changes: " + join(pieces, "; ") + ".";
  if (difference.findings.empty()) return out;
  out += (out.empty() ? "Doubtful: " : " Doubtful: ") + difference.findings.front();
  if (out.back() != '.') out += '.';
  if (difference.findings.size() > 1) out += " And " + counted(difference.findings.size() - 1, "doubt") + " more.";
  return out;
}

void print(std::ostream& out, const Amendments& amendments, const Style& style) {
  print(out, amendments.slip, style);
  if (amendments.rows.empty()) out << "No amendment: the machine is taken as its drawing says.\n";
  Table table;
  for (const AmendmentRow& row : amendments.rows) table.row({row.when.empty() ? "" : row.when.substr(0, row.when.find('T')), row.whose, row.change + (row.kept ? "  (kept in the machine's file)" : "")});
  table.print(out, style, 2);
}

Json json_of(const Amendments& amendments) {
  Json out, rows = Json::array();
  for (const AmendmentRow& row : amendments.rows) {
    Json one;
    rows.push(one.set("when", row.when).set("whose", row.whose).set("change", row.change).set("typed", row.typed).set("kept", row.kept));
  }
  out.set("schema", "halfsplit/amendments/1").set("amendments", std::move(rows));
  add_json(out, amendments.slip);
  return out;
}

}  // namespace halfsplit::report
