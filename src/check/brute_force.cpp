#include "check/brute_force.h"

#include <fmt/core.h>

#include <cmath>
#include <limits>

#include "base/require.h"

namespace halfsplit::check {
namespace {

using fault::FaultId;
using fault::Hypothesis;

class Enumeration {
 public:
  Enumeration(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence)
      : predictor_(predictor), priors_(priors), evidence_(evidence) {}

  double weight(const Hypothesis& hypothesis) const {
    double sum = 0;
    for (const FaultId member : hypothesis) sum += priors_.log_odds[member.index()];
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());
    const std::vector<double> scored = predictor_.score({hypothesis}, evidence_, budget);
    HS_REQUIRE(scored.size() == 1, "an unlimited budget scores every hypothesis");
    return sum + scored[0];
  }

  void visit(const Hypothesis& base, const std::vector<FaultId>& faults, std::size_t from, std::size_t room, Posterior& out) const {
    out.log_weight[base] = weight(base);
    if (room == 0) return;
    for (std::size_t i = from; i < faults.size(); ++i) {
      if (compatible(base, faults[i])) visit(base.with(faults[i]), faults, i + 1, room - 1, out);
    }
  }

  /// The share q of readings that an unmodelled trouble touches is unknown: mean over q = 0.05, 0.15 ... 0.95.
  double outside_weight() const {
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());
    double mean = 0;
    for (double share = 0.05; share < 1; share += 0.1) {
      double product = 1;
      for (const fault::Evidence& piece : evidence_) {
        const double healthy = std::exp(predictor_.score_each({Hypothesis()}, {piece}, budget)[0][0]);
        const double anything = std::exp(fault::log_misread(piece.value, piece.query.kind));
        product *= (1 - share) * healthy + share * anything;
      }
      mean += product / 10;
    }
    return std::exp(priors_.log_outside) * mean;
  }

 private:
  bool compatible(const Hypothesis& base, FaultId extra) const {
    const fault::Catalogue& catalogue = predictor_.catalogue();
    if (!std::isfinite(priors_.log_odds[extra.index()])) return false;
    if (catalogue.fault(extra).site.kind == fault::Site::Kind::outside) return false;  // weighed by log_outside
    for (const FaultId member : base) {
      if (catalogue.fault(member).site == catalogue.fault(extra).site) return false;
    }
    return true;
  }

  const fault::Predictor& predictor_;
  const fault::PriorOdds& priors_;
  const std::vector<fault::Evidence>& evidence_;
};

}  // namespace

Posterior brute_force(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                      const std::vector<FaultId>& faults, std::size_t most) {
  HS_REQUIRE(most <= Hypothesis::kMost, "a hypothesis holds at most four faults");
  Posterior out;
  const Enumeration enumeration(predictor, priors, evidence);
  enumeration.visit(Hypothesis(), faults, 0, most, out);
  const double outside = enumeration.outside_weight();
  double total = outside;
  for (const auto& [hypothesis, log_weight] : out.log_weight) total += std::exp(log_weight);
  out.outside = outside / total;
  for (const auto& [hypothesis, log_weight] : out.log_weight) {
    const double p = std::exp(log_weight) / total;
    out.p[hypothesis] = p;
    std::map<fault::SiteId, bool> counted;
    for (const FaultId member : hypothesis) counted[predictor.catalogue().site_of(member)] = true;
    for (const auto& [site, yes] : counted) out.site[site] += p;
  }
  return out;
}

std::vector<std::string> audit(const fault::Ranking& ranking, const fault::Predictor& predictor, const fault::PriorOdds& priors,
                               const std::vector<fault::Evidence>& evidence, double tolerance) {
  std::vector<std::string> out;
  const Enumeration enumeration(predictor, priors, evidence);
  std::map<fault::SiteId, double> least;
  double total = ranking.outside;
  for (std::size_t i = 0; i < ranking.leaves.size(); ++i) {
    const fault::Leaf& leaf = ranking.leaves[i];
    const double again = enumeration.weight(leaf.hypothesis);
    const double told = leaf.log_prior_odds + leaf.log_likelihood;
    if (!(std::abs(again - told) <= tolerance)) out.push_back(fmt::format("leaf {}: weight {:.12g} told, {:.12g} recomputed", i, told, again));
    if (i > 0 && leaf.p > ranking.leaves[i - 1].p) out.push_back(fmt::format("leaf {} is more probable than the one before it", i));
    total += leaf.p;
    std::map<fault::SiteId, bool> here;
    for (const FaultId member : leaf.hypothesis) here[predictor.catalogue().site_of(member)] = true;
    for (const auto& [site, yes] : here) least[site] += leaf.p;
  }
  if (total > 1 + tolerance) out.push_back(fmt::format("leaves and outside sum to {:.12g}", total));
  for (std::size_t i = 0; i < ranking.suspects.size(); ++i) {
    const fault::Suspect& suspect = ranking.suspects[i];
    if (suspect.p < -tolerance || suspect.p > 1 + tolerance) out.push_back(fmt::format("suspect {}: p = {:.12g}", suspect.name, suspect.p));
    if (suspect.p < least[suspect.site] - tolerance) out.push_back(fmt::format("suspect {}: p = {:.12g}, its leaves hold {:.12g}", suspect.name, suspect.p, least[suspect.site]));
    if (i > 0 && suspect.p > ranking.suspects[i - 1].p) out.push_back(fmt::format("suspect {} is more probable than the one before it", suspect.name));
    least.erase(suspect.site);
  }
  for (const auto& [site, p] : least) {
    if (p > tolerance) out.push_back(fmt::format("{} holds {:.12g} in the leaves and is no suspect", predictor.catalogue().site_name(site), p));
  }
  return out;
}

}  // namespace halfsplit::check
