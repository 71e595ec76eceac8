// netlist/sweeps.h - along which chips to draw the second tip to find what drives a pin: the likeliest first.
//
// Start at: sweep_order().
#pragma once
#include <set>
#include <vector>

#include "board/machine.h"

namespace halfsplit::netlist {

/// Chips with outputs, but the pin's own and those `done`: decoders first for an active-low input, then other logic, then what else drives.
std::vector<board::PartId> sweep_order(const board::Machine& machine, board::PinId pin, const std::set<board::PartId>& done);

}  // namespace halfsplit::netlist
