// fault/expand.h - where a failure mode of a class can sit on a part: its pins, data bits, elements, or the part as a whole.
//
// Start at: places_of().
#pragma once
#include <cstdint>
#include <optional>
#include <vector>

#include "parts/library.h"
#include "parts/part_type.h"

namespace halfsplit::fault {

/// One place of a mode, in terms of the type.
struct ModePlace {
  std::optional<std::uint16_t> pin;    ///< index into PartType::pins; element: its first end
  std::optional<std::uint16_t> other;  ///< element: its second end
  std::uint16_t element = 0;           ///< index into parts::elements()
  std::uint16_t bit = 0;               ///< index within the data or address port
  bool contact = false;                ///< element of a contact block
};

/// All places of the mode on a part of this type, used and unused pins alike. A mode without effect on levels (none, drifted) is one place however many
/// pins there are. each_element of a part without elements is each of its legs for what opens,
/// nothing for the rest. Empty where the type has nothing of the kind (each_data of a gate).
std::vector<ModePlace> places_of(const parts::Mode& mode, const parts::PartType& type);

}  // namespace halfsplit::fault
