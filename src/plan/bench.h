// plan/bench.h - from the bench as it is to the set-up a test wants: what the hand does, in order, and the minutes it takes.
//
// Idea:     chips, pins, plugs and clips are moved only with the power off; keys, forced levels and covers need no switching.
// Start at: change_bench().
#pragma once
#include <string>
#include <vector>

#include "fault/cost.h"
#include "fault/predictor.h"

namespace halfsplit::plan {

struct BenchChange {
  std::vector<std::string> steps;  ///< "power off", "pull U4", "power on"
  double minutes = 0;
};
/// `machine` is asked only for names of parts and pins that move. `costs` may be nothing: two minutes an action.
BenchChange change_bench(const board::Setup& now, const board::Setup& wanted, const fault::Predictor& predictor, const fault::Costs* costs);

/// "fit U4 again", "put the lid back": how one action is undone; the switch: "power on".
std::string way_back(const board::Action& action, const board::Machine& machine);

}  // namespace halfsplit::plan
