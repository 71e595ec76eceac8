// plan/weigh.h - every candidate test with its information, its minutes and what each outcome does to the suspects; what next and decide share.
#pragma once
#include <string>
#include <vector>

#include "plan/bench.h"
#include "plan/candidates.h"
#include "plan/information.h"

namespace halfsplit::plan {

struct Prospect {
  fault::Query query;
  std::vector<fault::Query> also;  ///< further pins of a walk round a chip
  Grouping grouping;   ///< the outside is its last row
  double bits = 0;     ///< about the site to repair; about the verdict when verifying
  double minutes = 0;
  int stage = 2;       ///< of the safety order
  bool isolates = false;
  double worth() const { return bits / minutes; }
};
struct Weighed {
  Rows rows;
  bool verifying = false;          ///< the top site holds so much that the verdict is tested
  std::vector<Prospect> prospects; ///< best first; equal partitions only once
};
Weighed weigh(const fault::Predictor& predictor, const fault::Ranking& ranking, const PlanOptions& options);

/// Row weights after the outcome `group` of a prospect; sums to 1.
std::vector<double> weights_after(const Weighed& weighed, const Prospect& prospect, std::size_t group);

}  // namespace halfsplit::plan
