#include "trial/world.h"

#include <algorithm>
#include <cmath>

namespace halfsplit::trial {

using board::Action;
using fault::Outcome;
using fault::Query;
using observe::Point;
using observe::Value;
using observe::Word;

World::World(const board::Machine& model, const fault::Predictor& truth, fault::Hypothesis hidden, ReadingErrors errors, std::uint64_t seed, Specimen specimen)
    : model_(model), truth_(truth), hidden_(hidden), errors_(errors), specimen_(specimen), seed_(seed), random_(seed) {}

std::string World::where(const Query& query) const {
  const auto& machine = truth_.machine();
  std::string text = board::describe(query.setup, machine) + "|" + std::to_string(static_cast<int>(query.kind)) + query.cycle + "|";
  const board::NetId net = query.point.at == Point::At::leg ? machine.pin(query.point.pin).net : query.point.net;
  return net.known() ? text + machine.net(net).name : text + observe::describe(query.point, machine);
}

std::optional<board::PinId> World::pin_there(board::PinId pin) const {
  if (&truth_.machine() == &model_) return pin;
  const auto found = truth_.machine().find_pin(model_.name_of(pin));
  return found.ok() ? std::optional(found.value()) : std::nullopt;
}

std::optional<Query> World::carried_over(const Query& query) const {
  Query there = query;
  const auto& machine = truth_.machine();
  const auto part_there = [&](board::PartId part) -> std::optional<board::PartId> {
    const auto found = machine.find_part(model_.part(part).ref);
    return found.ok() ? std::optional(found.value()) : std::nullopt;
  };
  if (&machine == &model_) return there;
  for (auto* pin : {&there.point.pin, &there.point.other})
    if (pin->known()) {
      const auto found = pin_there(*pin);
      if (!found) return std::nullopt;
      *pin = *found;
    }
  if (there.point.part.known()) {
    const auto part = part_there(there.point.part);
    if (!part) return std::nullopt;
    there.point.part = *part;
  }
  if (there.point.net.known()) {  // a net is read at one of its pins
    const auto& pins = model_.net(query.point.net).pins;
    const auto found = pins.empty() ? std::nullopt : pin_there(pins.front());
    if (!found || !machine.pin(*found).net.known()) return std::nullopt;
    there.point.net = machine.pin(*found).net;
  }
  if (there.point.function.known()) {
    const auto found = machine.find_function(model_.function(query.point.function).id);
    if (!found.ok()) return std::nullopt;
    there.point.function = found.value();
  }
  std::vector<Action> actions;
  for (Action action : query.setup.actions()) {
    if (action.part.known()) {
      const auto part = part_there(action.part);
      if (!part) return std::nullopt;
      action.part = *part;
    }
    for (auto* pin : {&action.pin, &action.other})
      if (pin->known()) {
        const auto found = pin_there(*pin);
        if (!found) return std::nullopt;
        *pin = *found;
      }
    actions.push_back(action);
  }
  there.setup = board::Setup(actions);
  return there;
}

/// Which bits one specimen shows; a misread report names another bit.
Value World::report(const Outcome& outcome, Random& specimen) {
  Value value;
  if (specimen.uniform() < outcome.no_report) {
    value.word = Word::dead;
    value.note = "no report";
    return value;
  }
  const bool shows = specimen.uniform() >= outcome.missed;
  std::uint32_t failing = 0;
  for (std::uint32_t bit = 0; bit < outcome.width && shows; ++bit)
    if (specimen.uniform() < outcome.p[bit]) failing |= 1u << bit;
  if (outcome.width > 0 && random_.chance(errors_.misread)) {
    failing ^= 1u << random_.below(outcome.width);
    ++wrong_;
  }
  value.failing = failing;
  value.word = failing == 0 ? Word::right : Word::wrong;
  return value;
}

/// True where the tip never touched anything; a tip on the wrong pin reads that one.
bool World::tip_goes_astray(Query& query) {
  if (query.point.at != Point::At::leg) return false;
  const auto& part = truth_.machine().part(truth_.machine().pin(query.point.pin).part);
  const std::uint32_t first = part.first_pin.index(), at = query.point.pin.index();
  double draw = random_.uniform();
  const bool can_slip = query.kind == observe::Kind::volts_dc || query.kind == observe::Kind::probe || query.kind == observe::Kind::triggered;
  if (draw < errors_.slipped) {
    wrong_ += can_slip;
    return can_slip;
  }
  draw -= errors_.slipped;
  if (part.pin_count < 2) return false;
  if (draw < errors_.neighbour) {
    query.point.pin = board::PinId(at + 1 < first + part.pin_count ? at + 1 : at - 1);
    ++wrong_;
  } else if (draw < errors_.neighbour + errors_.wrong_pin) {
    const std::uint32_t other = first + static_cast<std::uint32_t>(random_.below(part.pin_count - 1u));
    query.point.pin = board::PinId(other < at ? other : other + 1);
    ++wrong_;
  }
  return false;
}

std::optional<Value> World::word(const Outcome& outcome, Random& specimen) {
  std::vector<std::size_t> possible;
  double draw = specimen.uniform();
  std::optional<std::size_t> word;
  for (std::size_t i = 0; i < outcome.p.size(); ++i) {
    if (outcome.p[i] <= 0) continue;
    possible.push_back(i);
    draw -= outcome.p[i];
    if (!word && draw <= 0) word = i;
  }
  if (possible.empty()) return std::nullopt;
  Value value;
  value.word = static_cast<Word>(word.value_or(possible.back()));
  if (!random_.chance(errors_.misread)) return value;
  static const std::vector<Word> probe{Word::low, Word::high, Word::pulsing, Word::floating};
  static const std::vector<Word> states{Word::right, Word::wrong, Word::dead};
  static const std::vector<Word> verdicts{Word::good, Word::bad};
  const auto& words = *value.word <= Word::middle || *value.word == Word::absent ? probe : *value.word >= Word::right && *value.word <= Word::intermittent ? states : verdicts;
  const Word other = words[random_.below(words.size())];
  if (other != *value.word) ++wrong_;
  value.word = other;
  return value;
}

Value World::number(const Outcome& outcome, Random& specimen) {
  double draw = specimen.uniform();
  Outcome::Part part = outcome.parts[0];
  for (const auto& p : outcome.parts) {
    if (p.weight <= 0) continue;
    part = p;
    draw -= p.weight;
    if (draw <= 0) break;
  }
  double off = random_.normal();
  if (specimen_.heavy_tails) {  // normal over the root of a mean of squares: Student's t, brought to deviation 1
    double squares = 0;
    for (int i = 0; i < 4; ++i) squares += std::pow(random_.normal(), 2);
    off /= std::sqrt(squares / 4) * std::sqrt(2.0);
  }
  Value value;
  value.unit = outcome.unit;
  value.from = value.to = part.mean + part.deviation * specimen_.spread * off;
  if (random_.chance(errors_.misread)) { value.from = value.to = random_.uniform() * 6; ++wrong_; }
  if (random_.chance(errors_.unit)) { value.from = value.to = value.from * (random_.chance(0.5) ? 1000 : 0.001); ++wrong_; }
  return value;
}

std::optional<Value> World::answer(const Query& query) {
  auto there = carried_over(query);
  if (!there) return std::nullopt;
  if (tip_goes_astray(*there)) {
    Value nothing;
    if (query.kind != observe::Kind::volts_dc) {
      nothing.word = Word::floating;
      return nothing;
    }
    nothing.unit = observe::Unit::volts;
    nothing.from = nothing.to = 0.01 * random_.uniform();
    return nothing;
  }
  // What the model calls uncertain is one thing on one specimen: the same point in the same set-up always shows it.
  Random specimen(content_hash(std::to_string(seed_) + where(*there)));
  const bool there_now = query.kind == observe::Kind::function || specimen_.duty >= 1 || random_.chance(specimen_.duty);
  StepBudget budget(100000);
  const auto table = truth_.outcomes({there_now ? hidden_ : fault::Hypothesis()}, {*there}, budget);
  const Outcome& outcome = table.at(0, 0);
  switch (outcome.form) {
    case Outcome::Form::words: return word(outcome, specimen);
    case Outcome::Form::bits: return report(outcome, specimen);
    case Outcome::Form::number: return number(outcome, specimen);
    case Outcome::Form::none: break;
  }
  return std::nullopt;
}

}  // namespace halfsplit::trial
