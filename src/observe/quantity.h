// observe/quantity.h - a number with its unit, or a range, limit or tolerance of it: "5.2-5.3 volts", "under 50mA", "5.00V +/- 0.01", "0 to approx. 3.5v".
//
// Errors:   usage for units that don't go together, reversed ranges, numbers with two meanings.
// Start at: read_quantity().
#pragma once
#include <optional>

#include "base/result.h"
#include "observe/typed.h"

namespace halfsplit::observe {

struct Quantity {
  double from = 0, to = 0;       ///< SI; infinite on the open side of a limit
  Unit unit = Unit::none;
  std::optional<Kind> kind;      ///< where the unit word tells it (VAC)
  bool about = false;
  bool whole = false;            ///< one bare whole number without sign
  bool with_sign = false;        ///< written with + or -
  bool implied = false;          ///< only a prefix was written: 16k
  std::size_t next = 0;          ///< first token behind it
};
/// The quantity at token i, or nothing when no number starts there (words before it that only adorn it are allowed).
Result<std::optional<Quantity>> read_quantity(const Typed& typed, std::size_t i);

/// The kind that goes with a unit when nothing else is said.
Kind usual_kind(Unit unit) noexcept;
/// "5 V", "5.2 V to 5.3 V", "over 2 V", "under 50 mA".
std::string shown_range(double from, double to, Unit unit);

}  // namespace halfsplit::observe
