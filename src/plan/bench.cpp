#include "plan/bench.h"

#include <algorithm>

namespace halfsplit::plan {
namespace {

using board::Action;
constexpr double kFlatAction = 2;

bool needs_power_off(Action::Kind kind) {
  return kind == Action::Kind::pull || kind == Action::Kind::lift || kind == Action::Kind::unplug || kind == Action::Kind::bridge || kind == Action::Kind::fit;
}

std::string do_words(const Action& action, const board::Machine& machine) {
  switch (action.kind) {
    case Action::Kind::power_off: return "power off";
    case Action::Kind::pull: return (machine.part(action.part).socketed ? "pull " : "unsolder ") + machine.part(action.part).ref;
    case Action::Kind::lift: return "lift " + machine.name_of(action.pin);
    case Action::Kind::unplug: return "unplug " + machine.part(action.part).ref;
    case Action::Kind::bridge: return "bridge " + machine.name_of(action.pin) + " and " + machine.name_of(action.other);
    case Action::Kind::hold: return "hold " + machine.part(action.part).ref;
    case Action::Kind::force_low: return "force " + machine.name_of(action.pin) + " low through 10 ohm";
    case Action::Kind::force_high: return "force " + machine.name_of(action.pin) + " high through 10 ohm";
    case Action::Kind::open: return "take the " + action.what + " off";
    case Action::Kind::fit: return "put " + (action.spare > 0 ? "a spare" : machine.part(action.from).ref) + " in the place of " + machine.part(action.part).ref;
  }
  return {};
}

std::string undo_words(const Action& action, const board::Machine& machine) {
  switch (action.kind) {
    case Action::Kind::power_off: return "power on";
    case Action::Kind::pull: return (machine.part(action.part).socketed ? "fit " : "solder in ") + machine.part(action.part).ref + " again";
    case Action::Kind::lift: return "solder " + machine.name_of(action.pin) + " down again";
    case Action::Kind::unplug: return "plug " + machine.part(action.part).ref + " in again";
    case Action::Kind::bridge: return "take the bridge off " + machine.name_of(action.pin) + " and " + machine.name_of(action.other);
    case Action::Kind::hold: return "let go of " + machine.part(action.part).ref;
    case Action::Kind::force_low:
    case Action::Kind::force_high: return "release " + machine.name_of(action.pin);
    case Action::Kind::open: return "put the " + action.what + " back";
    case Action::Kind::fit: return "put " + machine.part(action.part).ref + " back into its own place";
  }
  return {};
}

std::vector<Action> without_power(const board::Setup& from, const board::Setup& other) {
  std::vector<Action> out;
  for (const Action& action : from.actions()) {
    const auto& rest = other.actions();
    if (action.kind != Action::Kind::power_off && std::find(rest.begin(), rest.end(), action) == rest.end()) out.push_back(action);
  }
  return out;
}

class Change {
 public:
  Change(const fault::Predictor& predictor, const fault::Costs* costs) : predictor_(predictor), costs_(costs) {}
  void act(const Action& action) {
    out_.steps.push_back(action.kind == Action::Kind::power_off ? "power off" : do_words(action, predictor_.machine()));
    out_.minutes += costs_ ? costs_->action_minutes(action, predictor_.machine()) : kFlatAction;
  }
  void undo(const Action& action) {
    out_.steps.push_back(action.kind == Action::Kind::power_off ? "power on" : undo_words(action, predictor_.machine()));
    out_.minutes += costs_ ? costs_->undo_minutes(action, predictor_.machine()) : kFlatAction;
  }
  BenchChange result() { return std::move(out_); }

 private:
  const fault::Predictor& predictor_;
  const fault::Costs* costs_;
  BenchChange out_;
};

}  // namespace

BenchChange change_bench(const board::Setup& now, const board::Setup& wanted, const fault::Predictor& predictor, const fault::Costs* costs) {
  const std::vector<Action> gone = without_power(now, wanted), fresh = without_power(wanted, now);
  const auto mechanical = [](const Action& action) { return needs_power_off(action.kind); };
  const bool off_needed = std::any_of(gone.begin(), gone.end(), mechanical) || std::any_of(fresh.begin(), fresh.end(), mechanical);
  const Action power_off{Action::Kind::power_off, {}, {}, {}, {}};
  Change change(predictor, costs);
  bool on = now.powered();
  if (on && (off_needed || !wanted.powered())) {
    change.act(power_off);
    on = false;
  }
  for (const Action& action : gone) change.undo(action);
  for (const Action& action : fresh) {
    if (mechanical(action)) change.act(action);
  }
  if (!on && wanted.powered()) change.undo(power_off);
  for (const Action& action : fresh) {
    if (!mechanical(action)) change.act(action);
  }
  return change.result();
}

std::string way_back(const Action& action, const board::Machine& machine) { return action.kind == Action::Kind::power_off ? "power on" : undo_words(action, machine); }

}  // namespace halfsplit::plan
