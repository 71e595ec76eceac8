// board/swap.h - which part sits in which place: like parts exchanged, spares tried. A part is told by its home place and, for spares, a number.
//
// Idea:     places with a foreign part are actions of the set-up (Action::Kind::fit), so readings before and after a swap differ in their set-up only.
// Start at: exchanged(), place_of().
#pragma once
#include <optional>
#include <string>

#include "board/setup.h"

namespace halfsplit::board {

/// A part as a thing: the one drawn at `home`, or the n-th spare brought for that place.
struct Thing {
  PartId home;
  std::uint8_t spare = 0;
  friend auto operator<=>(const Thing&, const Thing&) = default;
  friend bool operator==(const Thing&, const Thing&) = default;
};

bool any_fitted(const Setup& setup);
/// What sits in the place; its own part where nothing else is said.
Thing in_place(PartId place, const Setup& setup);
/// Where the thing sits; nothing when it is out of the machine.
std::optional<PartId> place_of(const Thing& thing, const Setup& setup);

/// What sits in the two places changes over.
Setup exchanged(const Setup& setup, PartId a, PartId b);
/// A spare goes into the place; what was there comes out. `grade`: how good the spare is.
Setup with_spare(const Setup& setup, PartId place, std::uint8_t number, const std::string& grade);
/// The part drawn there goes back into its place, and what sat there to where it came from; all of them without a place.
Setup back_home(const Setup& setup, std::optional<PartId> place);
/// The set-up without any word of which part sits where.
Setup all_own(const Setup& setup);

/// Why the two parts must not change places, for an error; nothing when they are alike. Like parts have one type, one package and one value; two
/// memories with programs of their own are not alike.
struct Unlike { std::string why, hint; };
std::optional<Unlike> unlike(PartId a, PartId b, const Machine& machine);
/// Fitted parts that could change places with this one, in the order of the machine.
std::vector<PartId> like_parts(PartId part, const Machine& machine);

}  // namespace halfsplit::board
