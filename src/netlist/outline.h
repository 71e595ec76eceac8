// netlist/outline.h - a chip as its pinout alone tells: which pins drive, what has to move for them to move; nothing of what it is connected to.
//
// Idea:     gates stay as they are; whatever remembers or takes part in bus cycles becomes a box whose outputs move with its clock or its inputs, since
//           on a machine without a netlist no bus cycle can be followed.
// Start at: outline_of().
#pragma once
#include <string>
#include <string_view>

#include "base/document.h"
#include "parts/part_type.h"

namespace halfsplit::netlist {

/// In front of the library's id of the type.
inline constexpr std::string_view kOutlinePrefix = "sketch-";
/// Text of a type of the board's own, id "sketch-" + the number.
std::string outline_of(const parts::PartType& type);
/// True where the pin rests high on a good machine: reset, wait, interrupts and the like, by the pinout.
bool rests_high(const parts::PartType& type, std::uint16_t pin);

}  // namespace halfsplit::netlist
