// plan/sweep.h - going round a chip: one walk of the tip along its pins, told as what differs from pin to pin.
//
// Idea:     where forty faults of one bus look alike but for the pin they sit at, a pin at a time asks forty questions of a twentieth of a bit; the
//           hand that is at the chip already reads the next pin for a fraction of the price of the first.
// Shape:    a sweep = first query and further ones, of one kind, cycle and set-up, at the legs of one part in the order of their numbers.
// Start at: sweeps().
#pragma once
#include <vector>

#include "plan/weigh.h"

namespace halfsplit::plan {

/// Walks round the parts that the rows suspect, with their information about `class_of` under `weights` (the outside
/// last). Copper that was read before is left out: what it showed is known.
std::vector<Prospect> sweeps(const fault::Predictor& predictor, const Rows& rows, const std::vector<double>& weights, const std::vector<std::uint32_t>& class_of,
                             std::size_t classes, const PlanOptions& options);

}  // namespace halfsplit::plan
