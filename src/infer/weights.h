// infer/weights.h - from the found sets to shares of all mass: faults out of reach of every reading (background) stand beside each of them.
//
// Start at: Background, SetWeights.
#pragma once
#include <map>
#include <vector>

#include "infer/search.h"

namespace halfsplit::infer {

/// Faults out of reach of all readings, gathered by the site whose modes exclude each other.
class Background {
 public:
  explicit Background(const Scores& scores);
  const std::vector<fault::FaultId>& faults() const { return faults_; }
  /// log of the chance that none of them is there.
  double log_none() const { return log_none_; }
  /// What a set loses because its members exclude background faults at their own sites.
  double log_factor(const fault::Hypothesis& hypothesis) const;
  /// Chance of a background fault at the site, where the explanation has none there.
  double at(fault::SiteId site) const;
  /// Odds of all background faults at the exclusive site of this one.
  double odds_beside(fault::FaultId fault) const;

 private:
  const fault::Catalogue& catalogue_;
  std::vector<fault::FaultId> faults_;
  std::map<fault::Site, double> odds_;
  std::map<fault::SiteId, std::map<fault::Site, double>> sites_;
  double log_none_ = 0;
};

struct SetWeights {
  std::vector<double> p;   ///< [set] share of all mass, any background beside it
  double outside = 0;      ///< share of the outside hypothesis and of what was not searched
  bool outside_is_bound = false;
};
SetWeights weigh_sets(const Scores& scores, const Found& found, const Background& background);

/// Index of the set that each set amounts to: itself, or the set without its harmless members.
std::vector<std::size_t> cores(const Scores& scores, const Found& found, double least_gain);

/// log P(evidence | something outside the model): an unknown share q of the readings, uniform in 0..1, says anything; the rest is as in
/// the healthy machine. Mean over ten equal steps of q. Uses the first healthy.size() pieces.
double outside_log_likelihood(const std::vector<fault::Evidence>& evidence, const std::vector<double>& healthy);

}  // namespace halfsplit::infer
