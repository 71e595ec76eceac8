#include "board/swap.h"

#include <fmt/core.h>

#include <algorithm>

#include "parts/part_type.h"

namespace halfsplit::board {
namespace {

const Action* fitted_at(PartId place, const Setup& setup) {
  for (const Action& action : setup.actions())
    if (action.kind == Action::Kind::fit && action.part == place) return &action;
  return nullptr;
}

Setup with_thing(const Setup& setup, PartId place, const Thing& thing, const std::string& grade) {
  const Action* old = fitted_at(place, setup);
  if (thing == Thing{place, 0}) return old ? setup.without(*old) : setup;
  return setup.with(Action{.kind = Action::Kind::fit, .part = place, .what = thing.spare > 0 ? grade : std::string(), .from = thing.home, .spare = thing.spare});
}

std::string grade_at(PartId place, const Setup& setup) {
  const Action* fitted = fitted_at(place, setup);
  return fitted ? fitted->what : std::string();
}

/// A memory that can only be read holds a program or a table of its own.
bool keeps_program(const parts::PartType& type) {
  return std::any_of(type.blocks.begin(), type.blocks.end(), [](const parts::Block& block) { return block.kind == parts::Template::memory && block.term("write").empty(); });
}

std::string name_of_kind(const Part& part) { return part.value.empty() ? part.type->title : part.value; }

bool same_value(const Part& a, const Part& b) { return a.value_si && b.value_si ? *a.value_si == *b.value_si : a.value_si.has_value() == b.value_si.has_value(); }

}  // namespace

bool any_fitted(const Setup& setup) { return setup.has(Action::Kind::fit); }

Thing in_place(PartId place, const Setup& setup) {
  const Action* fitted = fitted_at(place, setup);
  return fitted ? Thing{fitted->from, fitted->spare} : Thing{place, 0};
}

std::optional<PartId> place_of(const Thing& thing, const Setup& setup) {
  for (const Action& action : setup.actions())
    if (action.kind == Action::Kind::fit && action.from == thing.home && action.spare == thing.spare) return action.part;
  if (thing.spare == 0 && !fitted_at(thing.home, setup)) return thing.home;
  return std::nullopt;
}

Setup exchanged(const Setup& setup, PartId a, PartId b) {
  const Thing at_a = in_place(a, setup), at_b = in_place(b, setup);
  const std::string grade_a = grade_at(a, setup), grade_b = grade_at(b, setup);
  return with_thing(with_thing(setup, a, at_b, grade_b), b, at_a, grade_a);
}

Setup with_spare(const Setup& setup, PartId place, std::uint8_t number, const std::string& grade) { return with_thing(setup, place, {place, number}, grade); }

Setup back_home(const Setup& setup, std::optional<PartId> place) {
  if (!place) return all_own(setup);
  const auto where = place_of({*place, 0}, setup);
  return where && *where != *place ? exchanged(setup, *place, *where) : with_thing(setup, *place, {*place, 0}, {});
}

Setup all_own(const Setup& setup) {
  std::vector<Action> kept;
  for (const Action& action : setup.actions())
    if (action.kind != Action::Kind::fit) kept.push_back(action);
  return Setup(std::move(kept));
}

std::optional<Unlike> unlike(PartId a, PartId b, const Machine& machine) {
  const Part &one = machine.part(a), &other = machine.part(b);
  const std::string both = fmt::format("{} is {}, {} is {}", one.ref, name_of_kind(one), other.ref, name_of_kind(other));
  if (a == b) return Unlike{fmt::format("{} can't change places with itself", one.ref), "name two parts: swap U4 U7"};
  if (one.surroundings || other.surroundings) return Unlike{fmt::format("{}: what stands beside the machine is tried with another one", both), fmt::format("type swap {} spare", one.surroundings ? one.ref : other.ref)};
  if (one.type->pins.size() != other.type->pins.size())
    return Unlike{fmt::format("{}: packages of {} and {} pins don't fit each other's places", both, one.pin_count, other.pin_count), "only like parts can change places"};
  const auto shares_package = [&](const std::string& name) { return std::find(other.type->packages.begin(), other.type->packages.end(), name) != other.type->packages.end(); };
  if (!one.type->packages.empty() && !other.type->packages.empty() && std::none_of(one.type->packages.begin(), one.type->packages.end(), shares_package))
    return Unlike{fmt::format("{}: a {} doesn't fit the place of a {}", both, one.type->packages.front(), other.type->packages.front()), "only like parts can change places"};
  if (one.type->id != other.type->id) return Unlike{fmt::format("{}: they fit each other's places, but do different things there and may be harmed", both), "only like parts can change places"};
  if (!same_value(one, other)) return Unlike{fmt::format("{}: their values differ", both), "only like parts can change places"};
  if (keeps_program(*one.type)) return Unlike{fmt::format("{}: each holds a program of its own, so nothing would run", both), fmt::format("compare a dump, or try a copy: swap {} spare", one.ref)};
  return std::nullopt;
}

std::vector<PartId> like_parts(PartId part, const Machine& machine) {
  std::vector<PartId> out;
  for (std::size_t i = 0; i < machine.parts().size(); ++i) {
    const Part& other = machine.parts()[i];
    if (PartId(i) != part && other.fitted && other.type == machine.part(part).type && !unlike(part, PartId(i), machine)) out.emplace_back(i);
  }
  return out;
}

}  // namespace halfsplit::board
