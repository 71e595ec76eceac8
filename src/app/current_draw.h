// app/current_draw.h - about how much current the machine's chips take, from their families: good enough to tell "far too much" from "as usual".
//
// Source:   typical supply currents of data books, by family and, for MOS chips, by pins; whole boards measured lie between a third and all of it.
// Start at: usual_amps().
#pragma once
#include "board/machine.h"

namespace halfsplit::app {

/// An upper figure for all chips together, in amperes; 0 where the machine has none.
double usual_amps(const board::Machine& machine);

}  // namespace halfsplit::app
