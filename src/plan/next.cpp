#include "plan/next.h"

#include <algorithm>

#include "plan/present.h"
#include "plan/weigh.h"

namespace halfsplit::plan {

std::vector<fault::Test> next_tests(const fault::Predictor& predictor, const fault::PriorOdds&, const fault::Ranking& ranking, const PlanOptions& options) {
  return present(weigh(predictor, ranking, options), predictor, options);
}

}  // namespace halfsplit::plan
