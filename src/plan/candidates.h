// plan/candidates.h - what could be asked: every query of the bench as it is, of the switched-off machine, and of set-ups that isolate a suspect.
//
// Shape:    one block a set-up; isolating set-ups only for the top suspects, their queries only on the nets of what was moved.
// Start at: candidates().
#pragma once
#include <vector>

#include "plan/next.h"
#include "plan/rows.h"

namespace halfsplit::plan {

struct Block {
  board::Setup setup;
  std::vector<fault::Query> queries;
  bool isolates = false;
};
std::vector<Block> candidates(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options);

/// 0 = ohms of a rail with the power off, 1 = volts of a rail, 2 = everything else, or when the machine has been measured or seen to work.
int safety_stage(const fault::Query& query, const fault::Predictor& predictor, const PlanOptions& options);

}  // namespace halfsplit::plan
