#include "observe/sweep.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/text.h"

namespace halfsplit::observe {
namespace {

constexpr std::string_view kSweep[] = {"sweep", "sweeps", "swept", "along"};
constexpr std::string_view kHeard[] = {"beep", "beeps", "beeped", "buzz", "buzzes"};
constexpr std::string_view kFill[] = {"at", "on", "pin", "pins", "and", ","};
constexpr std::string_view kSilent[] = {"no beep", "no", "nobeep", "silent", "nothing", "none", "no buzz"};

template <std::size_t N>
bool any_of(const Token& token, const std::string_view (&words)[N]) {
  return std::any_of(std::begin(words), std::end(words), [&](std::string_view word) { return token.is(word); });
}

std::string example(const std::string& chip) { return fmt::format("type U1.14 sweep {0} beep at 9, or U1.14 sweep {0} no beep", chip.empty() ? "U7" : chip); }

/// What was heard, from token i on: the pins that beep.
Result<std::set<board::PinId>> heard(const Typed& typed, std::size_t i, const std::string& chip, PointFinder& finder) {
  std::set<board::PinId> out;
  const Token* first = typed.at(i);
  if (!first) return usage(fmt::format("a sweep along {} understood, but what was heard?", chip), example(chip));
  if (any_of(*first, kSilent)) {
    const Token* behind = typed.at(i + 1);
    if (!behind || (any_of(*behind, kHeard) && !typed.at(i + 2))) return out;
    return usage(fmt::format("{} is too much behind a silent sweep", in_quotes(typed.slice(i + 1, typed.size()))), example(chip));
  }
  bool beeps = false;
  for (const Token* token = first; token; token = typed.at(++i)) {
    if (any_of(*token, kHeard)) {
      beeps = true;
      continue;
    }
    if (any_of(*token, kFill)) continue;
    const auto points = finder.find(chip + "." + token->text);
    if (points.size() != 1 || points.front().at != Point::At::leg) return usage(fmt::format("{} is no pin of {}", in_quotes(token->text), chip), example(chip));
    out.insert(points.front().pin);
  }
  if (!beeps || out.empty()) return usage(fmt::format("a sweep along {} understood, but where did it beep?", chip), example(chip));
  return out;
}

}  // namespace

Result<std::vector<Observation>> sweep(const Typed& typed, PointFinder& finder, const board::Setup& state) {
  std::vector<Observation> out;
  std::size_t at = 1;
  while (at < typed.size() && !any_of(*typed.at(at), kSweep)) ++at;
  if (at >= typed.size()) return out;
  const auto held = finder.find(typed.slice(0, at));
  if (held.size() != 1 || held.front().at != Point::At::leg) return usage(fmt::format("{} is not one pin to hold a tip on", in_quotes(typed.slice(0, at))), example({}));
  const Token* chip = typed.at(at + 1);
  const auto part = chip ? finder.part(chip->text) : std::nullopt;
  if (!part) return usage(chip ? fmt::format("there is no part {} to sweep along", in_quotes(chip->text)) : "a sweep along which chip?", example({}));
  const board::Machine& machine = finder.machine();
  const auto beeps = heard(typed, at + 2, machine.part(*part).ref, finder);
  if (!beeps) return beeps.error();
  for (std::size_t i = 0; i < machine.part(*part).pin_count; ++i) {
    const board::PinId pin = machine.pin_of(*part, i);
    if (pin == held.front().pin) continue;
    Observation one;
    one.setup = state.powered() ? state.with(board::Action{.kind = board::Action::Kind::power_off}) : state;
    one.point.at = Point::At::pair;
    one.point.pin = held.front().pin;
    one.point.other = pin;
    one.kind = Kind::continuity;
    one.value.word = beeps->count(pin) != 0 ? Word::beep : Word::no_beep;
    if (state.powered()) one.value.note = "taken as power off";
    out.push_back(std::move(one));
  }
  return out;
}

}  // namespace halfsplit::observe
