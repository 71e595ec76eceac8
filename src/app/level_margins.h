// app/level_margins.h - outputs whose level an input of another family doesn't take for sure: an LS output into an HC input.
//
// Source:   typical output levels and guaranteed input levels of shared/parts/families.toml.
// Start at: level_margins().
#pragma once
#include <string>
#include <vector>

#include "board/machine.h"

namespace halfsplit::app {

/// One sentence a listening part and driving family, in the order of the nets; nets with a pull-up to a rail reach the rail and don't count.
std::vector<std::string> level_margins(const board::Machine& machine);

}  // namespace halfsplit::app
