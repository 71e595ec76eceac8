// plan/present.h - weighed prospects as tests to hand back: steps for the hand, outcomes in words, caution.
#pragma once
#include <vector>

#include "plan/weigh.h"

namespace halfsplit::plan {

/// The best `options.tests` prospects.
std::vector<fault::Test> present(const Weighed& weighed, const fault::Predictor& predictor, const PlanOptions& options);

}  // namespace halfsplit::plan
