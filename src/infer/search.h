// infer/search.h - best-first search for the sets of faults that explain the evidence.
//
// Idea:     singles are known; a set F with a reading it leaves unexplained is extended by the faults in that reading's reach, in the order of
//           prior x estimated likelihood. A reading that only one member can reach keeps that member's score, so faults that do not meet are
//           combined without simulation. Sets that could gain less than RankOptions::least_gain are not extended: a partition into cores,
//           each set looked at once. After the conflict-directed candidate generation of de Kleer and Williams (1987) with
//           best-first order; misreadings compete inside the likelihood (a mixture per reading) instead of as members of the sets.
// Cost:     a simulated set costs one step per set-up it changes; an extension costs faults x readings / 2048 steps.
// Dropped:  bounding pairs by the best possible likelihood alone: where feedback lets everything reach everything it orders by prior only.
// Start at: search().
#pragma once
#include <cstdint>
#include <vector>

#include "infer/rank.h"
#include "infer/scores.h"

namespace halfsplit::infer {

struct Explained {
  fault::Hypothesis hypothesis;
  double log_prior = 0;
  double log_likelihood = 0;
  double weight() const { return log_prior + log_likelihood; }
};

struct Found {
  std::vector<Explained> sets;     ///< the healthy machine first, then the relevant singles, then larger sets as they were found
  std::vector<double> rows;        ///< [set][piece of evidence]: log-likelihood of each
  double unsearched_estimate = 0;  ///< expected weight of what was not looked at, relative to exp(scale)
  double unsearched_bound = 0;     ///< no less than that weight, relative to exp(scale); a proof only where bound_holds
  bool bound_holds = false;
  double scale = 0;                ///< log of the found weight
  std::uint64_t steps = 0;
};

Found search(const Scores& scores, const RankOptions& options);

/// Evidence this doubtful or more makes the bound useless and the estimate is shown instead.
constexpr double kHardDoubt = 1e-4;

}  // namespace halfsplit::infer
