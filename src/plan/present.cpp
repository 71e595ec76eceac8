#include "plan/present.h"

#include <algorithm>

#include "plan/wording.h"

namespace halfsplit::plan {

std::vector<fault::Test> present(const Weighed& weighed, const fault::Predictor& predictor, const PlanOptions& options) {
  std::vector<fault::Test> out;
  for (std::size_t i = 0; i < std::min(options.tests, weighed.prospects.size()); ++i) {
    const Prospect& prospect = weighed.prospects[i];
    fault::Test test;
    test.query = prospect.query;
    test.also = prospect.also;
    test.steps = change_bench(options.now, prospect.query.setup, predictor, options.costs).steps;
    test.minutes = prospect.minutes;
    test.bits = prospect.bits;
    test.outcomes = outlooks(weighed, prospect, predictor.catalogue());
    test.reason = reason_for(weighed, prospect, predictor.catalogue());
    if (options.caution) test.caution = options.caution(prospect.query);
    out.push_back(std::move(test));
  }
  return out;
}

}  // namespace halfsplit::plan
