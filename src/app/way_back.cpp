#include "app/way_back.h"

#include <fmt/core.h>

#include <algorithm>

#include "app/verdicts.h"
#include "base/text.h"
#include "plan/bench.h"

namespace halfsplit::app {
namespace {

using board::Action;
using observe::Taken;

/// Things that hang on wires rather than sit on the board.
bool hangs_on_wires(const board::Part& part) {
  static const char* const kClasses[] = {"speaker", "transformer", "motor", "lamp", "battery", "cell", "lead", "switch"};
  return std::any_of(std::begin(kClasses), std::end(kClasses), [&](const char* name) { return lower(part.type->rate_class).find(name) != std::string::npos || lower(part.type->id).find(name) != std::string::npos; });
}

/// What must be known to put it back: of soldered things only.
std::string to_note(const Action& action, const board::Machine& machine) {
  if (action.kind == Action::Kind::pull && !machine.part(action.part).socketed) {
    const board::Part& part = machine.part(action.part);
    return hangs_on_wires(part) ? fmt::format("colour and hole of each wire of {}", part.ref) : fmt::format("which way round {} sits, and colour and hole of each wire", part.ref);
  }
  if (action.kind == Action::Kind::unplug) return fmt::format("which way round {} goes", machine.part(action.part).ref);
  return {};
}

std::string change_word(const Action& action, const board::Machine& machine) {
  const std::string ref = action.part.known() ? machine.part(action.part).ref : std::string();
  return ref + (action.kind == Action::Kind::unplug ? "-unplugged" : "-out");
}

std::string place_of(const Action& action, const board::Machine& machine) {
  if (action.kind == Action::Kind::open) return action.what;
  return action.part.known() ? machine.part(action.part).ref : machine.name_of(action.pin);
}

}  // namespace

report::WayBack way_back(const Sitting& sitting) {
  const board::Machine& machine = sitting.machine();
  report::WayBack out;
  out.slip = slip_of(sitting, false);
  out.power_on = !sitting.state().powered();
  auto taken = observe::dismantled(sitting.history());
  std::reverse(taken.begin(), taken.end());
  for (const Taken& one : taken) {
    report::BackStep step;
    step.step = plan::way_back(one.action, machine);
    step.remark = one.remark;
    const std::string note = to_note(one.action, machine);
    if (one.remark.empty() && !note.empty() && one.action.kind != Action::Kind::unplug) step.ask = "Nothing was noted of " + note + ": compare with a photo, the drawing or the marks on the board.";
    step.when = sitting.job().lines[sitting.line_number(one.event) - 1].when;
    for (const std::string& small : observe::small_parts_in(one.remark)) out.small_parts.push_back(small + " (" + place_of(one.action, machine) + ")");
    out.steps.push_back(std::move(step));
  }
  return out;
}

std::vector<std::string> notes_on(const observe::StateChange& change, const std::vector<Taken>& before, const board::Machine& machine) {
  std::vector<std::string> out;
  const auto was = [&](const Action& action) { return std::any_of(before.begin(), before.end(), [&](const Taken& one) { return one.action == action; }); };
  for (const Action& action : change.done) {
    const std::string note = to_note(action, machine);
    if (note.empty() || !change.remark.empty() || was(action)) continue;
    out.push_back(fmt::format("Before it comes off note {}: halfsplit state {}: ...", note, change_word(action, machine)));
  }
  for (const Taken& one : before) {
    const auto& now = change.now.actions();
    if (one.remark.empty() || std::find(now.begin(), now.end(), one.action) != now.end()) continue;
    out.push_back(fmt::format("Noted of {} when it came off: {}.", place_of(one.action, machine), one.remark));
  }
  return out;
}

}  // namespace halfsplit::app
