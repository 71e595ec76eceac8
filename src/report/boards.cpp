#include "report/boards.h"

#include <fmt/core.h>

#include <algorithm>
#include <ostream>

#include "report/table.h"

namespace halfsplit::report {
namespace {

using Grade = board::Finding::Grade;

const char* name_of(Grade grade) {
  switch (grade) {
    case Grade::error: return "error";
    case Grade::warning: return "warning";
    case Grade::note: return "note";
  }
  return "note";
}

}  // namespace

void print(std::ostream& out, const Boards& boards, const Style& style) {
  Table table;
  for (const BoardLine& line : boards.boards) {
    if (!line.trouble.empty()) table.row({line.id, "can't be read: " + line.trouble});
    else table.row({line.id, fmt::format("{}{}: {}, {}, {}", line.title, line.revision.empty() ? "" : " revision " + line.revision, counted(line.parts, "part"), counted(line.nets, "net"), counted(line.functions, "function"))});
  }
  table.print(out, style);
  if (!boards.boards.empty()) out << inked("Begin a job: halfsplit job open " + boards.boards.front().id, Ink::faint, style) << '\n';
}

Json json_of(const Boards& boards) {
  Json out, list = Json::array();
  for (const BoardLine& line : boards.boards) {
    Json one;
    one.set("id", line.id).set("title", line.title).set("revision", line.revision).set("folder", line.folder);
    one.set("parts", line.parts).set("nets", line.nets).set("functions", line.functions);
    list.push(one.set("trouble", line.trouble.empty() ? Json() : Json(line.trouble)));
  }
  return out.set("schema", "halfsplit/boards/1").set("boards", std::move(list));
}

std::size_t Check::count(Grade grade) const {
  return static_cast<std::size_t>(std::count_if(findings.begin(), findings.end(), [&](const FindingLine& line) { return line.grade == grade; }));
}

void print(std::ostream& out, const Check& check, const Style& style) {
  out << inked(check.title, Ink::strong, style) << (check.revision.empty() ? "" : " revision " + check.revision) << ": " << counted(check.parts, "part") << ", " << counted(check.pins, "pin") << ", "
      << counted(check.nets, "net") << ", " << counted(check.functions, "function") << ", " << counted(check.cycles, "bus cycle") << ", " << counted(check.faults, "fault") << " known\n";
  for (const FindingLine& line : check.findings) {
    const std::string text = line.message + (line.hint.empty() ? "" : " (" + line.hint + ")");
    paragraph(out, text, line.grade == Grade::error ? Ink::strong : Ink::plain, style, fmt::format("{:<8} ", name_of(line.grade)));
  }
  out << fmt::format("{}, {}, {}.\n", counted(check.count(Grade::error), "error"), counted(check.count(Grade::warning), "warning"), counted(check.count(Grade::note), "note"));
}

Json json_of(const Check& check) {
  Json out, findings = Json::array();
  for (const FindingLine& line : check.findings) {
    Json one;
    findings.push(one.set("grade", name_of(line.grade)).set("kind", line.kind).set("message", line.message).set("hint", line.hint));
  }
  out.set("schema", "halfsplit/check/1").set("id", check.id).set("title", check.title).set("revision", check.revision);
  out.set("parts", check.parts).set("pins", check.pins).set("nets", check.nets).set("functions", check.functions).set("cycles", check.cycles).set("faults", check.faults);
  out.set("errors", check.count(Grade::error)).set("warnings", check.count(Grade::warning)).set("notes", check.count(Grade::note));
  return out.set("findings", std::move(findings));
}

}  // namespace halfsplit::report
