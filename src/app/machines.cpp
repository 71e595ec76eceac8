#include "app/machines.h"

#include <fmt/core.h>

#include <algorithm>
#include <filesystem>

#include "base/text.h"
#include "board/lint.h"
#include "board/spec.h"
#include "logic/health.h"

namespace halfsplit::app {
namespace {

using board::Finding;

report::BoardLine line_of(const std::string& folder, const std::shared_ptr<const parts::Library>& library) {
  report::BoardLine out;
  out.id = std::filesystem::path(folder).filename().string();
  out.folder = folder;
  const auto machine = board::load_machine(folder, library);
  if (!machine) {
    out.trouble = machine.error().text();
    return out;
  }
  const board::Machine& it = **machine;
  out.title = it.title();
  out.revision = it.revision();
  out.parts = it.parts().size();
  out.nets = it.nets().size();
  out.functions = it.functions().size();
  return out;
}

std::string refs(const std::vector<board::PartId>& parts, const board::Machine& machine) {
  constexpr std::size_t kMost = 4;
  std::vector<std::string> names;
  for (std::size_t i = 0; i < std::min(parts.size(), kMost); ++i) names.push_back(machine.part(parts[i]).ref);
  return join(names, ", ") + (parts.size() > kMost ? fmt::format(" and {} more", parts.size() - kMost) : "");
}

report::FindingLine no_rate(const knowledge::MissingRate& missing, const board::Machine& machine) {
  const auto named = [](const std::string& rate_class, const std::string& technology) { return technology.empty() ? rate_class : rate_class + " (" + technology + ")"; };
  report::FindingLine out;
  out.grade = Finding::Grade::note;
  out.kind = "no-rate";
  out.message = fmt::format("{}: no failure rate for {}", refs(missing.parts, machine), named(missing.rate_class, missing.technology));
  out.hint = "reckoned as " + named(missing.from_class, missing.from_technology);
  return out;
}

void add(std::vector<report::FindingLine>& lines, const std::vector<Finding>& findings) {
  for (const Finding& finding : findings) lines.push_back({finding.grade, finding.kind, finding.message, finding.hint});
}

}  // namespace

Result<report::Boards> list_boards(const Places& places) {
  auto library = parts::Library::open(places.parts());
  if (!library) return library.error();
  report::Boards out;
  for (const std::string& folder : all_boards(places)) out.boards.push_back(line_of(folder, *library));
  return out;
}

Result<report::Check> check_board(const Places& places, const std::string& board) {
  const auto folder = find_board(places, board);
  if (!folder) return folder.error();
  auto opened = Model::open(places, *folder);
  if (!opened) return opened.error();
  Model& model = **opened;
  const board::Machine& machine = model.machine();
  report::Check out;
  out.id = machine.id();
  out.title = machine.title();
  out.revision = machine.revision();
  out.parts = machine.parts().size();
  out.pins = machine.pins().size();
  out.nets = machine.nets().size();
  out.functions = machine.functions().size();
  out.cycles = model.activity()->network().cycles.size();
  out.faults = model.catalogue().size();
  add(out.findings, board::lint(machine));
  add(out.findings, logic::health(*model.activity()));
  for (const auto& missing : knowledge::missing_rates(model.knowledge(), machine)) out.findings.push_back(no_rate(missing, machine));
  std::stable_sort(out.findings.begin(), out.findings.end(), [](const auto& a, const auto& b) { return a.grade < b.grade; });
  return out;
}

}  // namespace halfsplit::app
