#include "infer/weights.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace halfsplit::infer {

constexpr double kCloseBound = 0.01;

using fault::FaultId;

Background::Background(const Scores& scores) : catalogue_(scores.predictor().catalogue()) {
  std::vector<std::uint8_t> shown(catalogue_.size());
  for (const FaultId fault : scores.relevant()) shown[fault.index()] = 1;
  for (std::size_t i = 0; i < catalogue_.size(); ++i) {
    const double log_odds = scores.priors().log_odds[i];
    if (shown[i] || !std::isfinite(log_odds)) continue;
    faults_.emplace_back(i);
    odds_[catalogue_.faults()[i].site] += std::exp(log_odds);
  }
  for (const FaultId fault : faults_) {
    const fault::Site& place = catalogue_.fault(fault).site;
    sites_[catalogue_.site_of(fault)][place] = odds_.at(place);
  }
  for (const auto& [place, odds] : odds_) log_none_ -= std::log1p(odds);
}

double Background::log_factor(const fault::Hypothesis& hypothesis) const {
  double sum = 0;
  if (odds_.empty()) return sum;
  for (const FaultId member : hypothesis) {
    const auto place = odds_.find(catalogue_.fault(member).site);
    if (place != odds_.end()) sum -= std::log1p(place->second);
  }
  return sum;
}

double Background::at(fault::SiteId site) const {
  const auto place = sites_.find(site);
  if (place == sites_.end()) return 0;
  double log_free = 0;
  for (const auto& [part, odds] : place->second) log_free -= std::log1p(odds);
  return -std::expm1(log_free);
}

double Background::odds_beside(FaultId fault) const { return odds_.at(catalogue_.fault(fault).site); }

SetWeights weigh_sets(const Scores& scores, const Found& found, const Background& background) {
  SetWeights out;
  std::vector<double> healthy(scores.evidence().size());
  for (std::size_t e = 0; e < healthy.size(); ++e) healthy[e] = scores.healthy(e);
  out.outside = std::exp(std::min(scores.priors().log_outside + outside_log_likelihood(scores.evidence(), healthy) - found.scale, 300.0));
  // A proven limit far above what is expected would only hide the suspects: then the estimate is shown, as such.
  out.outside_is_bound = found.bound_holds && found.unsearched_bound < std::max(kCloseBound, 2 * found.unsearched_estimate);
  out.outside += out.outside_is_bound ? found.unsearched_bound : found.unsearched_estimate;
  double total = out.outside;
  for (const Explained& set : found.sets) {
    out.p.push_back(std::exp(set.weight() + background.log_factor(set.hypothesis) - found.scale));
    total += out.p.back();
  }
  for (double& p : out.p) p /= total;
  out.outside /= total;
  return out;
}

namespace {

bool betters(const Found& found, std::size_t columns, std::size_t set, std::size_t subset, double least_gain) {
  const double *more = found.rows.data() + set * columns, *less = found.rows.data() + subset * columns;
  for (std::size_t e = 0; e < columns; ++e) {
    if (more[e] - less[e] >= least_gain) return true;
  }
  return false;
}

}  // namespace

std::vector<std::size_t> cores(const Scores& scores, const Found& found, double least_gain) {
  std::vector<std::size_t> out(found.sets.size());
  std::map<fault::Hypothesis, std::size_t> index;
  for (std::size_t set = 0; set < out.size(); ++set) {
    const fault::Hypothesis& hypothesis = found.sets[set].hypothesis;
    index.emplace(hypothesis, set);
    out[set] = set;
    if (hypothesis.size() < 2 || !std::isfinite(least_gain)) continue;
    for (const FaultId without : hypothesis) {
      fault::Hypothesis smaller;
      for (const FaultId member : hypothesis) {
        if (member != without) smaller = smaller.with(member);
      }
      const auto place = index.find(smaller);
      if (place == index.end() || betters(found, scores.evidence().size(), set, place->second, least_gain)) continue;
      out[set] = out[place->second];
      break;
    }
  }
  return out;
}

double outside_log_likelihood(const std::vector<fault::Evidence>& evidence, const std::vector<double>& healthy) {
  constexpr int kSteps = 10;
  std::array<double, kSteps> logs{};
  for (int step = 0; step < kSteps; ++step) {
    const double share = (step + 0.5) / kSteps;
    for (std::size_t e = 0; e < healthy.size(); ++e) {
      const double anything = std::exp(fault::log_misread(evidence[e].value, evidence[e].query.kind));
      logs[static_cast<std::size_t>(step)] += std::log((1 - share) * std::exp(healthy[e]) + share * anything);
    }
  }
  const double top = *std::max_element(logs.begin(), logs.end());
  double sum = 0;
  for (const double value : logs) sum += std::exp(value - top);
  return top + std::log(sum / kSteps);
}

}  // namespace halfsplit::infer
