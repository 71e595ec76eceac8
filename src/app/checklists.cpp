#include "app/checklists.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <set>

#include "base/text.h"
#include "knowledge/procedure.h"
#include "observe/parse.h"

namespace halfsplit::app {
namespace {

using knowledge::Procedure;

std::string list_of(const observe::Repair& repair, const board::Machine& machine) { return fmt::format("{} {}", machine.part(repair.part).ref, observe::name_of(repair.act)); }

bool ticked(const job::Job& job, const std::string& list, const std::string& step) {
  return std::any_of(job.ticks.begin(), job.ticks.end(), [&](const job::Tick& tick) { return tick.list == list && tick.step == step; });
}

report::Checklist filled(const Procedure& procedure, const std::string& list, const std::string& part, const job::Job& job) {
  report::Checklist out;
  out.list = list;
  out.procedure = procedure.id;
  out.title = procedure.title;
  const auto all = [&](const std::vector<std::string>& texts) {
    std::vector<std::string> told;
    for (const std::string& text : texts) told.push_back(knowledge::about(text, part));
    return told;
  };
  out.parts = all(procedure.parts);
  out.cautions = all(procedure.cautions);
  out.recheck = all(procedure.recheck);
  out.changes = procedure.changes;
  for (std::string& text : all(procedure.steps)) {
    const bool done = ticked(job, list, text);
    out.steps.push_back({std::move(text), done});
  }
  return out;
}

/// "3", "1-4", "all" as indices from 0.
Result<std::set<std::size_t>> steps_in(const std::vector<std::string>& words, std::size_t count) {
  std::set<std::size_t> out;
  for (const std::string& word : words) {
    std::size_t first = 1, last = count;
    if (lower(word) != "all") {
      const auto number = [&](std::string_view text, std::size_t& into) {
        const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), into);
        return failed == std::errc() && end == text.data() + text.size() && into >= 1;
      };
      const std::size_t dash = word.find('-');
      const bool good = number(std::string_view(word).substr(0, dash), first) && (dash == std::string::npos || number(std::string_view(word).substr(dash + 1), last));
      if (dash == std::string::npos) last = first;
      if (!good || last < first) return usage(in_quotes(word) + " is no step", "3, or 1-4, or all");
      if (last > count) return not_found(fmt::format("there is no step {}: the list has {}", last, count));
    }
    for (std::size_t i = first; i <= last; ++i) out.insert(i - 1);
  }
  return out;
}

struct Chosen { const Procedure* procedure; std::string list, part; };

Result<Chosen> chosen(const Sitting& sitting, const std::string& typed) {
  const board::Machine& machine = sitting.machine();
  const knowledge::Knowledge& knowledge = sitting.model().knowledge();
  if (const Procedure* erratum = knowledge::erratum_named(knowledge, machine, std::string(trim(typed)))) return Chosen{erratum, erratum->id, erratum->places.empty() ? "" : erratum->places.front()};
  const auto repair = observe::parse_repair(typed, machine);
  if (!repair) {
    std::vector<std::string> ids;
    for (const Procedure* one : knowledge::errata_of(knowledge, machine)) ids.push_back(one->id);
    const auto near = did_you_mean(typed, ids);
    if (near) return not_found(in_quotes(typed) + " is neither a repair nor an erratum of this machine", "did you mean " + *near + "?");
    return repair.error();
  }
  const Procedure* procedure = knowledge::procedure_for(knowledge, machine, repair->part, observe::name_of(repair->act));
  if (!procedure) return not_found("no procedure fits " + typed, "knowledge/procedures.toml holds those there are");
  return Chosen{procedure, list_of(*repair, machine), machine.part(repair->part).ref};
}

}  // namespace

Result<report::Checklist> checklist(Desk& desk, const std::string& typed, const Ticks& ticks) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  const auto found = chosen(**sitting, typed);
  if (!found) return found.error();
  job::Job& job = (*sitting)->job();
  const report::Checklist before = filled(*found->procedure, found->list, found->part, job);
  const auto done = steps_in(ticks.done, before.steps.size()), undone = steps_in(ticks.undone, before.steps.size());
  if (!done) return done.error();
  if (!undone) return undone.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  for (const std::size_t step : *done)
    if (const Status kept = (*shop)->tick(job, {found->list, before.steps[step].text, desk.now()}); !kept) return kept.error();
  for (const std::size_t step : *undone)
    if (const Status kept = (*shop)->untick(job, found->list, before.steps[step].text); !kept) return kept.error();
  return filled(*found->procedure, found->list, found->part, job);
}

Result<report::Errata> errata(Desk& desk) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  const Sitting& it = **sitting;
  std::set<std::string> told;
  for (const job::Line& line : it.job().lines)
    if (line.kind == job::LineKind::symptom)
      for (const auto& heard : knowledge::match_symptoms(it.model().knowledge(), job::symptom_in(line).words, it.machine())) told.insert(heard.symptom);
  report::Errata out{it.machine().title(), it.machine().revision(), {}};
  for (const Procedure* one : knowledge::errata_of(it.model().knowledge(), it.machine())) {
    const report::Checklist list = filled(*one, one->id, one->places.empty() ? "" : one->places.front(), it.job());
    const auto done = static_cast<std::size_t>(std::count_if(list.steps.begin(), list.steps.end(), [](const report::StepLine& step) { return step.done; }));
    const bool fits = std::any_of(one->symptoms.begin(), one->symptoms.end(), [&](const std::string& symptom) { return told.contains(symptom); });
    out.errata.push_back({one->id, one->title, done, list.steps.size(), fits});
  }
  return out;
}

std::vector<std::string> reminders(const Sitting& sitting, const observe::Repair& repair) {
  const board::Machine& machine = sitting.machine();
  const Procedure* procedure = knowledge::procedure_for(sitting.model().knowledge(), machine, repair.part, observe::name_of(repair.act));
  if (!procedure) return {};
  const report::Checklist list = filled(*procedure, list_of(repair, machine), machine.part(repair.part).ref, sitting.job());
  std::vector<std::string> open, out;
  for (std::size_t i = 0; i < list.steps.size(); ++i)
    if (!list.steps[i].done) open.push_back(std::to_string(i + 1));
  if (!open.empty() && open.size() < list.steps.size()) out.push_back(fmt::format("Not ticked: step {} (halfsplit repair {} --steps).", join(open, ", "), list.list));
  return out;
}

}  // namespace halfsplit::app
