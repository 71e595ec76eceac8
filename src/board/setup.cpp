#include "board/setup.h"

#include <algorithm>

namespace halfsplit::board {

std::string describe(const Action& action, const Machine& machine) {
  const auto ref = [&] { return machine.part(action.part).ref; };
  const auto pin = [&] { return machine.name_of(action.pin); };
  switch (action.kind) {
    case Action::Kind::power_off: return "power off";
    case Action::Kind::pull: return ref() + " out";
    case Action::Kind::lift: return pin() + " lifted";
    case Action::Kind::unplug: return ref() + " unplugged";
    case Action::Kind::bridge: return pin() + " bridged to " + machine.name_of(action.other);
    case Action::Kind::hold: return ref() + " held";
    case Action::Kind::force_low: return pin() + " forced low";
    case Action::Kind::force_high: return pin() + " forced high";
    case Action::Kind::fit: return (action.spare > 0 ? (action.what.empty() ? "" : action.what + " ") + "spare" : machine.part(action.from).ref) + " in the place of " + ref();
    case Action::Kind::open: break;
  }
  return action.what + " off";
}

namespace {

bool is_force(Action::Kind kind) { return kind == Action::Kind::force_low || kind == Action::Kind::force_high; }

/// A bridge has no direction.
Action ordered(Action action) {
  if (action.kind == Action::Kind::bridge && action.other < action.pin) std::swap(action.pin, action.other);
  return action;
}

}  // namespace

Setup::Setup(std::vector<Action> actions) : actions_(std::move(actions)) {
  std::transform(actions_.begin(), actions_.end(), actions_.begin(), ordered);
  std::sort(actions_.begin(), actions_.end());
  actions_.erase(std::unique(actions_.begin(), actions_.end()), actions_.end());
}

bool Setup::powered() const { return !has(Action::Kind::power_off); }

bool Setup::has(Action::Kind kind) const {
  return std::any_of(actions_.begin(), actions_.end(), [kind](const Action& action) { return action.kind == kind; });
}

Setup Setup::with(Action action) const {
  std::vector<Action> actions = actions_;
  const auto undone = [&](const Action& old) {
    const bool same_place = action.kind == Action::Kind::fit && old.kind == Action::Kind::fit && old.part == action.part;
    return same_place || (is_force(action.kind) && is_force(old.kind) && old.pin == action.pin);
  };
  actions.erase(std::remove_if(actions.begin(), actions.end(), undone), actions.end());
  actions.push_back(std::move(action));
  return Setup(std::move(actions));
}

Setup Setup::without(const Action& action) const {
  std::vector<Action> actions = actions_;
  actions.erase(std::remove(actions.begin(), actions.end(), ordered(action)), actions.end());
  return Setup(std::move(actions));
}

namespace {

/// The other half of two parts in each other's places, as seen from the first of them.
bool mirrored(const Action& action, const Setup& setup) {
  if (action.kind != Action::Kind::fit || action.spare > 0) return false;
  return std::any_of(setup.actions().begin(), setup.actions().end(),
                     [&](const Action& one) { return one.kind == Action::Kind::fit && one.spare == 0 && one.part == action.from && one.from == action.part; });
}

}  // namespace

std::string describe(const Setup& setup, const Machine& machine) {
  std::string out;
  for (const Action& action : setup.actions()) {
    const bool pair = mirrored(action, setup);
    if (pair && action.from < action.part) continue;
    out += (out.empty() ? "" : ", ") + (pair ? machine.part(action.part).ref + " and " + machine.part(action.from).ref + " exchanged" : describe(action, machine));
  }
  return out.empty() ? "complete, powered" : out;
}

}  // namespace halfsplit::board
