// trial/stale.h - a drawing as it comes with a machine: a few pins on the wrong net, one function that forgets what it needs.
//
// Rules:    nothing in infer, plan or predict may know of this; the truth keeps the drawing as it was.
// Start at: stale().
#pragma once
#include <string>
#include <vector>

#include "base/random.h"
#include "board/spec.h"

namespace halfsplit::trial {

struct Staleness {
  double moved = 0.01;        ///< share of the pins on signal nets that sit on another signal net of their unit
  std::size_t dropped = 1;    ///< functions that lose one need
};
struct StaleDrawing {
  board::MachineSpec spec;
  std::vector<std::string> changes;  ///< one line each: "U5.8: A4 for A3"
};
/// Same seed, same changes. A drawing of another revision already differs by itself: this comes on top.
StaleDrawing stale(board::MachineSpec spec, const Staleness& staleness, std::uint64_t seed);

}  // namespace halfsplit::trial
