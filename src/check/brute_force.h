// check/brute_force.h - the slow reference for infer: every set of up to k faults, scored one at a time, and an audit of a finished ranking.
//
// Idea:     Bayes' rule written down as it is: weight = product of the odds x likelihood; nothing is pruned, cached, combined or estimated.
//           Written apart from infer, which may not be included here.
// Cost:     C(faults, k) simulations: for machines of some ten parts.
// Start at: brute_force(), audit().
#pragma once
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "fault/predictor.h"
#include "fault/prior.h"
#include "fault/ranking.h"

namespace halfsplit::check {

struct Posterior {
  std::map<fault::Hypothesis, double> log_weight;  ///< prior odds x likelihood, natural logarithm
  std::map<fault::Hypothesis, double> p;           ///< sums to 1 - outside
  std::map<fault::SiteId, double> site;            ///< chance that a fault sits there
  double outside = 0;                              ///< something outside the model
};

/// All subsets of `faults` with at most `most` members (0..4) and at most one mode per site. With every fault given and one fault allowed
/// per exclusive site the answer is the whole posterior.
Posterior brute_force(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                      const std::vector<fault::FaultId>& faults, std::size_t most);

/// Recomputes every leaf of a ranking by itself and checks order, sums and suspects. One sentence per disagreement; empty = none.
std::vector<std::string> audit(const fault::Ranking& ranking, const fault::Predictor& predictor, const fault::PriorOdds& priors,
                               const std::vector<fault::Evidence>& evidence, double tolerance = 1e-9);

}  // namespace halfsplit::check
