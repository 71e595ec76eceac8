// board/live_nets.h - which nets something moves or holds: driven, powered, fed from outside or joined to such a net; a coupling capacitor doesn't count.
//
// Cost:     O(pins).
#pragma once
#include <vector>

#include "board/machine.h"

namespace halfsplit::board {

/// By NetId. Sources are pins that drive, rails and grounds, nets fed from outside, and pins of connectors that lead off the machine (passive pins that no
/// element of their part ends at; not where `plugged`, by PartId, says that another unit is there). Contacts count open or closed: a switch may be pressed.
std::vector<bool> live_nets(const std::vector<Part>& placed, const std::vector<Pin>& pins, const std::vector<Net>& nets,
                            const std::vector<bool>& plugged);

}  // namespace halfsplit::board
