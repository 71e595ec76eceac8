// infer/explain.h - why a site is suspected: the weight of evidence of every observation for it against everything else, in decibans.
//
// Idea:     the weights follow the order of the readings, each given those before it: they add up, with the start, to the odds of the ranking
//           exactly (I. J. Good's weight of evidence; 10 decibans = ten times the odds).
// Cost:     one search; hypotheses with an unlisted fault are scored once per reading where they still hold weight.
// Start at: explain(); weigh_evidence() for the numbers alone.
#pragma once
#include <optional>
#include <vector>

#include "fault/ranking.h"
#include "infer/rank.h"

namespace halfsplit::infer {

/// Numbers of one explanation. start + sum of decibans = result; where result stands for the odds of the site in the ranking.
struct EvidenceWeights {
  double start = 0;                                  ///< decibans before the first reading
  std::vector<double> decibans;                      ///< per piece of evidence
  std::vector<std::vector<fault::SiteId>> against;   ///< per piece: sites that it made much less probable, worst hit first
  double result = 0;                                 ///< decibans after the last
};
EvidenceWeights weigh_evidence(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                               fault::SiteId site, const RankOptions& options = {});

struct Explanation {
  double start = 0;                     ///< decibans from how often such parts fail
  std::vector<fault::Reason> reasons;   ///< in the order of the evidence: "U5.8 low: expected pulsing; speaks against U7, U9"
  double result = 0;
};
Explanation explain(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                    fault::SiteId site, const RankOptions& options = {});

/// What the healthy machine shows there, as a value to print; nothing when there is no prediction.
std::optional<observe::Value> expected_value(const fault::Outcome& outcome);

}  // namespace halfsplit::infer
