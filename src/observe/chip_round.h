// observe/chip_round.h - a chip read pin by pin: "U7 L P P P H - P G", from pin 1 on.
#pragma once
#include <vector>

#include "base/result.h"
#include "observe/point_finder.h"
#include "observe/typed.h"

namespace halfsplit::observe {

/// L H P F (or Z) M or 0 1 a pin; - for a pin not read; G and V for the ground and supply pin, which also checks the count. Empty when the line is
/// something else; usage for more marks than pins, or a G that is not at a ground pin.
/// "in cycle read U5" behind the marks makes them triggered looks; N is a cycle that never comes.
Result<std::vector<Observation>> chip_round(const Typed& typed, PointFinder& finder, const board::Setup& state);

/// The marks of a part as they are typed, up to the last pin that was read: "- P P ? L"; ? where a pin has no one level.
std::string round_marks(board::PartId part, const std::vector<std::pair<board::PinId, std::optional<Word>>>& seen, const board::Machine& machine);

}  // namespace halfsplit::observe
