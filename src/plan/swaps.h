// plan/swaps.h - swaps worth proposing: a suspect in a socket changes places with a like part, or a spare goes in, and what was wrong is tried again.
//
// Idea:     only complaints are looked at again, since a swap moves or cures what is wrong or leaves it; the predictor answers that like any reading.
// Safety:   sockets only, and only where every rail of the part has been measured right: a good part is not put where a rail may kill it.
// Start at: swap_blocks().
#pragma once
#include <vector>

#include "plan/candidates.h"

namespace halfsplit::plan {

/// One block a swap, of the most probable suspects; `on` is the bench with power on.
std::vector<Block> swap_blocks(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options, const board::Setup& on);

}  // namespace halfsplit::plan
