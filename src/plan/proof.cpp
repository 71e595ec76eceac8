#include "plan/proof.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "board/amendment.h"
#include "plan/influence.h"

namespace halfsplit::plan {
namespace {

using board::Action;
using board::FunctionId;
using board::PartId;
using observe::Kind;
using observe::Observation;
using Standing = ProofItem::Standing;

constexpr float kExpected = 0.2f;
constexpr double kDeviations = 3;

bool is_trial(const Observation& seen) { return seen.kind == Kind::function && seen.point.at == observe::Point::At::function && seen.value.word.has_value(); }

bool holds(const board::Setup& setup, const Action& action) { return std::find(setup.actions().begin(), setup.actions().end(), action) != setup.actions().end(); }

bool takes_apart(const Action& action) {
  return action.kind == Action::Kind::pull || action.kind == Action::Kind::lift || action.kind == Action::Kind::unplug || action.kind == Action::Kind::bridge || action.kind == Action::Kind::open;
}
bool is_electrical(const Action& action) { return action.kind != Action::Kind::open && action.kind != Action::Kind::power_off && action.kind != Action::Kind::hold; }

/// What a set-up has that another lacks.
std::vector<Action> more(const board::Setup& in, const board::Setup& than) {
  std::vector<Action> out;
  for (const Action& action : in.actions())
    if (!holds(than, action)) out.push_back(action);
  return out;
}

/// The machine as the owner has it, apart from the switch and a key held.
bool complete(const board::Setup& setup) {
  return std::none_of(setup.actions().begin(), setup.actions().end(), [](const Action& action) { return action.kind == Action::Kind::open || is_electrical(action); });
}

/// Parts that a change of the board names.
std::vector<PartId> parts_in(const observe::Amended& amended, const board::Machine& machine) {
  std::vector<PartId> out;
  const auto read = board::parse_amendment(amended.typed);
  if (!read) return out;
  for (const std::string& word : read->words) {
    if (const auto pin = machine.find_pin(word)) out.push_back(machine.pin(*pin).part);
    else if (const auto part = machine.find_part(word)) out.push_back(*part);
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

class Things {
 public:
  Things(const observe::History& history, const board::Machine& machine) : machine_(machine), state_(history.state()) {
    board::Setup before;
    for (std::size_t i = 0; i < history.events().size(); ++i) {
      const observe::Event& event = history.events()[i];
      if (const auto* change = std::get_if<observe::StateChange>(&event)) {
        for (const Action& action : more(change->now, before)) take(action, i);
        for (const Action& action : more(before, change->now)) take(action, i);
        before = change->now;
      } else if (const auto* repair = std::get_if<observe::Repair>(&event)) {
        take(*repair, i);
      } else if (const auto* amended = std::get_if<observe::Amended>(&event); amended && amended->ours) {
        Handled& thing = at(Handled::What::change, amended->change);
        thing.parts = parts_in(*amended, machine);
        thing.done = "ours";
        thing.last = i;
      }
    }
  }
  std::vector<Handled> things;

 private:
  Handled& at(Handled::What what, const std::string& name) {
    const auto found = std::find_if(things.begin(), things.end(), [&](const Handled& one) { return one.what == what && one.name == name; });
    if (found != things.end()) return *found;
    things.push_back({what, {}, {}, name, {}, {}, 0});
    return things.back();
  }

  void take(const observe::Repair& repair, std::size_t event) {
    const bool one_pin = repair.pin.known();
    Handled& thing = at(one_pin ? Handled::What::pin : Handled::What::part, one_pin ? machine_.name_of(repair.pin) : machine_.part(repair.part).ref);
    thing.parts = {repair.part};
    thing.pin = repair.pin;
    thing.done = observe::name_of(repair.act);
    thing.last = event;
  }

  void take(const Action& action, std::size_t event) {
    if (!takes_apart(action)) return;
    Handled& thing = at(what_of(action), name_of(action));
    thing.last = event;
    thing.back = holds(state_, action) ? way_back(action) : std::string();
    if (!thing.parts.empty() || action.kind == Action::Kind::open) return;
    thing.pin = action.pin;
    if (action.part.known()) thing.parts = action.kind == Action::Kind::unplug ? contacts(action.part) : std::vector<PartId>{action.part};
    for (const board::PinId pin : {action.pin, action.other})
      if (pin.known()) thing.parts.push_back(machine_.pin(pin).part);
    thing.done = done_words(action);
  }

  std::vector<PartId> contacts(PartId connector) const {
    std::vector<PartId> out = machine_.plug_contacts(connector);
    out.push_back(connector);
    return out;
  }
  static Handled::What what_of(const Action& action) {
    switch (action.kind) {
      case Action::Kind::lift: return Handled::What::pin;
      case Action::Kind::bridge: return Handled::What::bridge;
      case Action::Kind::open: return Handled::What::cover;
      default: return Handled::What::part;
    }
  }
  std::string name_of(const Action& action) const {
    switch (action.kind) {
      case Action::Kind::lift: return machine_.name_of(action.pin);
      case Action::Kind::bridge: return machine_.name_of(action.pin) + " to " + machine_.name_of(action.other);
      case Action::Kind::open: return action.what;
      default: return machine_.part(action.part).ref;
    }
  }
  std::string done_words(const Action& action) const {
    switch (action.kind) {
      case Action::Kind::pull: return machine_.part(action.part).socketed ? "was out" : "was unsoldered";
      case Action::Kind::lift: return "was lifted";
      case Action::Kind::unplug: return "was unplugged";
      case Action::Kind::bridge: return "was bridged";
      default: return "was off";
    }
  }
  std::string way_back(const Action& action) const {
    const std::string name = name_of(action);
    switch (action.kind) {
      case Action::Kind::pull: return (machine_.part(action.part).socketed ? "fit " : "solder in ") + name;
      case Action::Kind::lift: return "solder " + name + " down";
      case Action::Kind::unplug: return "plug " + name + " in";
      case Action::Kind::bridge: return "take the bridge off " + name;
      default: return "put the " + name + " back";
    }
  }

  const board::Machine& machine_;
  const board::Setup state_;
};

class Prover {
 public:
  Prover(const observe::History& history, const fault::Predictor& predictor, const ProofOptions& options)
      : history_(history), predictor_(predictor), machine_(predictor.machine()), options_(options), things_(Things(history, predictor.machine()).things), functions_(all_functions(machine_)) {
    hear();
    ask_influence();
  }

  Proof list() {
    Proof out;
    for (const FunctionId function : functions_) out.items.push_back(about(function));
    for (std::size_t i = 0; i < things_.size(); ++i) out.items.push_back(about(i, out));
    mark_blocked(out);
    return out;
  }

 private:
  void hear() {
    for (std::size_t i = 0; i < history_.events().size(); ++i)
      if (const auto* seen = std::get_if<Observation>(&history_.events()[i]); seen && is_trial(*seen)) heard_[seen->point.function] = i;
  }

  /// Which functions each thing can touch. Keys cost a set-up each: those that were heard of, and all of them for a thing on which nothing else hangs.
  void ask_influence() {
    for (const Handled& thing : things_)
      for (const PartId part : thing.parts)
        if (std::find(parts_.begin(), parts_.end(), part) == parts_.end()) parts_.push_back(part);
    touches_.assign(parts_.size(), std::vector<bool>(functions_.size(), false));
    std::vector<FunctionId> first, rest;
    for (const FunctionId function : functions_) (!machine_.function(function).held || heard_.count(function) != 0 ? first : rest).push_back(function);
    ask(parts_, first);
    std::vector<PartId> lonely;
    for (std::size_t i = 0; i < parts_.size(); ++i)
      if (std::find(touches_[i].begin(), touches_[i].end(), true) == touches_[i].end()) lonely.push_back(parts_[i]);
    if (!lonely.empty()) ask(lonely, rest);
  }
  void ask(const std::vector<PartId>& parts, const std::vector<FunctionId>& functions) {
    const auto answer = influence_of_parts(predictor_, parts, functions);
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const auto row = static_cast<std::size_t>(std::find(parts_.begin(), parts_.end(), parts[i]) - parts_.begin());
      for (std::size_t f = 0; f < functions.size(); ++f)
        if (answer[i][f]) touches_[row][functions[f].index()] = true;
    }
  }
  bool can_touch(const Handled& thing, FunctionId function) const {
    return std::any_of(thing.parts.begin(), thing.parts.end(), [&](PartId part) {
      const auto row = static_cast<std::size_t>(std::find(parts_.begin(), parts_.end(), part) - parts_.begin());
      return touches_[row][function.index()];
    });
  }
  const Observation& seen(std::size_t event) const { return std::get<Observation>(history_.events()[event]); }

  ProofItem about(FunctionId function) const {
    ProofItem out;
    out.function = function;
    if (std::find(options_.set_aside.begin(), options_.set_aside.end(), function) != options_.set_aside.end()) {
      out.standing = Standing::aside;
      return out;
    }
    const auto found = heard_.find(function);
    if (found == heard_.end()) return out;
    out.by = found->second;
    const Observation& last = seen(*out.by);
    if (*last.value.word != observe::Word::right) {
      out.standing = Standing::failing;
      return out;
    }
    for (const Handled& thing : things_)
      if (thing.last > *out.by && can_touch(thing, function) && (!out.touched || thing.last > *out.touched)) out.touched = thing.last;
    const bool always = last.condition.empty() && last.share.seen == last.share.trials;
    out.standing = out.touched ? Standing::stale : complete(last.setup) && always ? Standing::proven : Standing::partly;
    return out;
  }

  /// A look at the thing itself, after it was handled, that shows what a good machine shows.
  std::optional<std::size_t> good_reading(const Handled& thing) const {
    for (std::size_t i = history_.events().size(); i-- > thing.last + 1;) {
      const auto* one = std::get_if<Observation>(&history_.events()[i]);
      if (!one || one->kind == Kind::function || !at_thing(*one, thing)) continue;
      return as_expected(*one) ? std::optional(i) : std::nullopt;  // the last word counts
    }
    return std::nullopt;
  }
  bool at_thing(const Observation& one, const Handled& thing) const {
    const auto on = [&](board::PinId pin) {
      if (!pin.known()) return false;
      if (thing.pin.known()) return pin == thing.pin;
      return std::find(thing.parts.begin(), thing.parts.end(), machine_.pin(pin).part) != thing.parts.end();
    };
    const bool whole = one.point.part.known() && !thing.pin.known() && std::find(thing.parts.begin(), thing.parts.end(), one.point.part) != thing.parts.end();
    return on(one.point.pin) || on(one.point.other) || whole;
  }
  bool as_expected(const Observation& one) const {
    if (one.kind == Kind::continuity) return one.value.word == observe::Word::beep;
    StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
    const fault::OutcomeTable table = predictor_.outcomes({fault::Hypothesis()}, {{one.setup, one.point, one.kind, one.cycle}}, unlimited);
    const fault::Outcome& healthy = table.at(0, 0);
    if (one.value.word && healthy.form == fault::Outcome::Form::words) return healthy.p[static_cast<std::size_t>(*one.value.word)] >= kExpected;
    if (one.value.is_number() && healthy.form == fault::Outcome::Form::number) {
      return std::any_of(healthy.parts.begin(), healthy.parts.end(), [&](const fault::Outcome::Part& part) {
        return part.weight >= 0.05f && std::abs((one.value.from + one.value.to) / 2 - static_cast<double>(part.mean)) <= kDeviations * static_cast<double>(part.deviation);
      });
    }
    return one.value.word == observe::Word::good;
  }

  ProofItem about(std::size_t index, const Proof& functions) const {
    const Handled& thing = things_[index];
    ProofItem out;
    out.handled = thing;
    for (std::size_t i = 0; i < functions_.size(); ++i) {
      const ProofItem& trial = functions.items[i];
      if (!can_touch(thing, functions_[i]) || trial.standing == Standing::aside) continue;
      out.through.push_back(functions_[i]);
      const bool good = trial.standing == Standing::proven || trial.standing == Standing::partly;
      const bool proves = good && *trial.by > thing.last && out.standing != Standing::proven;
      if (proves) out.by = trial.by;
      if (proves) out.standing = trial.standing;
    }
    const bool stays = std::any_of(thing.parts.begin(), thing.parts.end(), [&](PartId part) { return std::find(options_.left.begin(), options_.left.end(), part) != options_.left.end(); });
    if (!thing.back.empty()) {
      out.standing = stays ? Standing::stays : Standing::owed;
      out.by.reset();
      return out;
    }
    const bool closed = thing.what == Handled::What::cover || thing.what == Handled::What::bridge;
    if (closed) out.standing = Standing::proven;
    else if (out.standing != Standing::proven) {
      if (const auto reading = good_reading(thing)) {
        out.by = reading;
        out.standing = Standing::proven;
      }
    }
    if (stays && out.standing != Standing::proven) out.standing = Standing::stays;
    return out;
  }

  /// What can't be tried as the bench stands, and what is in the way of it.
  void mark_blocked(Proof& proof) const {
    const board::Setup state = history_.state();
    std::vector<Action> electrical;
    for (const Action& action : state.actions())
      if (is_electrical(action)) electrical.push_back(action);
    if (electrical.empty()) return;
    std::vector<FunctionId> open;
    for (std::size_t i = 0; i < functions_.size(); ++i)
      if (proof.items[i].is_owed()) open.push_back(functions_[i]);
    if (open.empty()) return;
    const std::vector<bool> can = can_work(predictor_, open, state);
    std::vector<std::vector<bool>> alone;
    for (const Action& action : electrical) alone.push_back(can_work(predictor_, open, board::Setup({action})));
    for (std::size_t i = 0; i < open.size(); ++i) {
      if (can[i]) continue;
      ProofItem& item = proof.items[open[i].index()];
      item.now = false;
      for (std::size_t a = 0; a < electrical.size(); ++a)
        if (!alone[a][i]) item.in_the_way.push_back(electrical[a]);
      if (item.in_the_way.empty()) item.in_the_way = electrical;
    }
  }

  const observe::History& history_;
  const fault::Predictor& predictor_;
  const board::Machine& machine_;
  const ProofOptions& options_;
  const std::vector<Handled> things_;
  const std::vector<FunctionId> functions_;
  std::map<FunctionId, std::size_t> heard_;
  std::vector<PartId> parts_;
  std::vector<std::vector<bool>> touches_;  ///< [of parts_][function]
};

}  // namespace

std::size_t Proof::owed() const {
  return static_cast<std::size_t>(std::count_if(items.begin(), items.end(), [](const ProofItem& item) { return item.is_owed(); }));
}
std::size_t Proof::proven() const {
  return static_cast<std::size_t>(std::count_if(items.begin(), items.end(), [](const ProofItem& item) { return item.standing == Standing::proven; }));
}

Proof proof_list(const observe::History& history, const fault::Predictor& predictor, const ProofOptions& options) { return Prover(history, predictor, options).list(); }

std::size_t epoch_of(std::size_t event, const observe::History& history) {
  const auto epochs = history.epochs();
  for (std::size_t i = 0; i < epochs.size(); ++i)
    if (event >= epochs[i].first && event < epochs[i].last) return i + 1;
  return epochs.size();
}

}  // namespace halfsplit::plan
