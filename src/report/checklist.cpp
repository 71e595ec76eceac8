#include "report/checklist.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"
#include "report/slip.h"
#include "report/table.h"

namespace halfsplit::report {

void print(std::ostream& out, const Checklist& checklist, const Style& style) {
  for (const std::string& caution : checklist.cautions) paragraph(out, caution, Ink::danger, style, "Caution: ");
  out << inked(fmt::format("{}: {}", checklist.list, checklist.title), Ink::strong, style) << '\n';
  if (!checklist.parts.empty()) paragraph(out, join(checklist.parts, "; ") + ".", style, "Needed: ");
  Table steps;
  for (std::size_t i = 0; i < checklist.steps.size(); ++i) steps.row({fmt::format("{:>2}", i + 1), checklist.steps[i].done ? "[x]" : "[ ]", checklist.steps[i].text});
  steps.print(out, style);
  if (!checklist.recheck.empty()) paragraph(out, join(checklist.recheck, " "), style, "Afterwards: ");
  for (const std::string& change : checklist.changes) out << "When done: halfsplit amend ours " << change << '\n';
}

Json json_of(const Checklist& checklist) {
  Json out, steps = Json::array();
  for (const StepLine& step : checklist.steps) {
    Json one;
    steps.push(one.set("text", step.text).set("done", step.done));
  }
  out.set("schema", "halfsplit/checklist/1").set("list", checklist.list).set("procedure", checklist.procedure).set("title", checklist.title).set("parts", json_of(checklist.parts));
  out.set("cautions", json_of(checklist.cautions)).set("steps", std::move(steps));
  return out.set("recheck", json_of(checklist.recheck)).set("changes", json_of(checklist.changes));
}

void print(std::ostream& out, const Errata& errata, const Style& style) {
  if (errata.errata.empty()) out << fmt::format("No errata are known of {}, revision {}.\n", errata.machine, errata.revision);
  Table table;
  for (const ErratumLine& line : errata.errata) table.row({line.id, fmt::format("{} of {}", line.done, line.steps), line.title + (line.told ? " (what was said of this machine fits)" : "")});
  table.print(out, style);
}

Json json_of(const Errata& errata) {
  Json out, list = Json::array();
  for (const ErratumLine& line : errata.errata) {
    Json one;
    list.push(one.set("id", line.id).set("title", line.title).set("done", line.done).set("steps", line.steps).set("told", line.told));
  }
  return out.set("schema", "halfsplit/errata/1").set("machine", errata.machine).set("revision", errata.revision).set("errata", std::move(list));
}

}  // namespace halfsplit::report
