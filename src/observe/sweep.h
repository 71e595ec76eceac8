// observe/sweep.h - one tip held on a pin, the other drawn along a chip: "U1.14 sweep U7 beep at 9", "U1.14 sweep U7 no beep".
//
// Shape:    one line, one continuity reading for each pin of the chip.
// Errors:   usage for a sweep without its pin, its chip or what was heard.
// Start at: sweep().
#pragma once
#include <vector>

#include "base/result.h"
#include "observe/point_finder.h"
#include "observe/typed.h"

namespace halfsplit::observe {

/// Pins of the chip where it beeped, and all others as silent. Empty when the line is something else.
Result<std::vector<Observation>> sweep(const Typed& typed, PointFinder& finder, const board::Setup& state);

}  // namespace halfsplit::observe
