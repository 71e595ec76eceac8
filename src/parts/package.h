// parts/package.h - the outline of a part out of a footprint name: "DIP-28_W15.24mm_Socket" is a dual row of 28.
#pragma once
#include <cstdint>
#include <optional>
#include <string_view>

#include "parts/match.h"

namespace halfsplit::parts {

struct Package {
  enum class Kind : std::uint8_t { dual_row, small_outline, chip_carrier, quad_flat, single_row, can };  ///< can: TO-92, TO-220
  Kind kind = Kind::dual_row;
  std::size_t number = 0;  ///< pins; of a can its number (92, 220)
};
std::optional<Package> package_of(std::string_view footprint);

/// Pins told by a footprint or value such as PinHeader_2x17, Conn_01x02, DSUB-25; 0 = none told.
std::size_t pins_told(std::string_view text);

/// True when a part of this type can sit in that place: outline, number of pins and pin names.
bool fits_place(const PartType& type, const PartDescription& place);

}  // namespace halfsplit::parts
