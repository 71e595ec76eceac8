#include "infer/posterior.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <unordered_map>

#include "base/require.h"

namespace halfsplit::infer {
namespace {

using fault::FaultId;
using fault::Hypothesis;
using fault::SiteId;

/// Faults out of reach of all readings, gathered by the site whose modes exclude each other.
class Background {
 public:
  explicit Background(const Scores& scores) : catalogue_(scores.predictor().catalogue()) {
    std::vector<std::uint8_t> shown(catalogue_.size());
    for (const FaultId fault : scores.relevant()) shown[fault.index()] = 1;
    for (std::size_t i = 0; i < catalogue_.size(); ++i) {
      const double log_odds = scores.priors().log_odds[i];
      if (shown[i] || !std::isfinite(log_odds)) continue;
      const FaultId fault(i);
      faults_.push_back(fault);
      odds_[catalogue_.fault(fault).site] += std::exp(log_odds);
    }
    for (const FaultId fault : faults_) sites_[catalogue_.site_of(fault)][catalogue_.fault(fault).site] = 0;
    for (auto& [site, parts] : sites_) {
      for (auto& [place, odds] : parts) odds = odds_.at(place);
    }
    for (const auto& [place, odds] : odds_) log_none_ -= std::log1p(odds);
  }
  const std::vector<FaultId>& faults() const { return faults_; }
  /// log of the chance that none of them is there.
  double log_none() const { return log_none_; }
  /// Weight of a set is taken by the background at the same sites, which it excludes.
  double log_factor(const Hypothesis& hypothesis) const {
    double sum = 0;
    for (const FaultId member : hypothesis) {
      const auto place = odds_.find(catalogue_.fault(member).site);
      if (place != odds_.end()) sum -= std::log1p(place->second);
    }
    return sum;
  }
  /// Chance of a background fault at the site, where the explanation has none there.
  double at(SiteId site) const {
    const auto place = sites_.find(site);
    if (place == sites_.end()) return 0;
    double log_free = 0;
    for (const auto& [part, odds] : place->second) log_free -= std::log1p(odds);
    return -std::expm1(log_free);
  }
  /// Odds of all background faults at the exclusive site of this one.
  double odds_beside(FaultId fault) const { return odds_.at(catalogue_.fault(fault).site); }

 private:
  const fault::Catalogue& catalogue_;
  std::vector<FaultId> faults_;
  std::map<fault::Site, double> odds_;
  std::map<SiteId, std::map<fault::Site, double>> sites_;
  double log_none_ = 0;
};

std::string place_of(const fault::Fault& fault, const fault::Predictor& predictor) {
  return fault.pin.known() ? predictor.machine().long_name_of(fault.pin) : std::string();
}

std::string title_of(SiteId site, const fault::Predictor& predictor) {
  const fault::Catalogue& catalogue = predictor.catalogue();
  for (const FaultId fault : catalogue.faults_at(site)) {
    const fault::Site& place = catalogue.fault(fault).site;
    if (place.kind != fault::Site::Kind::part || !place.part.known()) continue;
    const board::Part& part = predictor.machine().part(place.part);
    return part.value.empty() ? part.type->title : part.value + " " + part.type->title;
  }
  return {};
}

class Builder {
 public:
  Builder(const Scores& scores, const Found& found, const RankOptions& options)
      : scores_(scores), found_(found), options_(options), catalogue_(scores.predictor().catalogue()), background_(scores) {}
  fault::Ranking build();

 private:
  void weigh();
  void suspects();
  void leaves();
  void doubted();
  std::size_t core_of(std::size_t set) const;
  bool betters(std::size_t set, std::size_t subset) const;
  const double* row(std::size_t set) const { return found_.rows.data() + set * scores_.evidence().size(); }

  const Scores& scores_;
  const Found& found_;
  const RankOptions& options_;
  const fault::Catalogue& catalogue_;
  const Background background_;
  std::vector<double> p_;  ///< [set] any background beside it
  std::map<Hypothesis, std::size_t> index_;
  fault::Ranking ranking_;
};

void Builder::weigh() {
  std::vector<double> healthy(scores_.evidence().size());
  for (std::size_t e = 0; e < healthy.size(); ++e) healthy[e] = scores_.healthy(e);
  double outside = std::exp(std::min(scores_.priors().log_outside + outside_log_likelihood(scores_.evidence(), healthy) - found_.scale, 300.0));
  ranking_.outside_is_bound = found_.bound_holds && found_.unsearched_bound < 1;
  outside += ranking_.outside_is_bound ? found_.unsearched_bound : found_.unsearched_estimate;
  double total = outside;
  for (const Explained& set : found_.sets) {
    p_.push_back(std::exp(set.weight() + background_.log_factor(set.hypothesis) - found_.scale));
    total += p_.back();
  }
  for (double& p : p_) p /= total;
  ranking_.outside = outside / total;
  ranking_.healthy = p_[0] * std::exp(background_.log_none());
}

void Builder::suspects() {
  struct Sum { double p = 0; std::map<FaultId, double> modes; };
  std::map<SiteId, Sum> sums;
  for (std::size_t set = 0; set < p_.size(); ++set) {
    const Hypothesis& hypothesis = found_.sets[set].hypothesis;
    for (const FaultId* member = hypothesis.begin(); member != hypothesis.end(); ++member) {
      const SiteId site = catalogue_.site_of(*member);
      sums[site].modes[*member] += p_[set];
      const bool counted = std::any_of(hypothesis.begin(), member, [&](FaultId earlier) { return catalogue_.site_of(earlier) == site; });
      if (!counted) sums[site].p += p_[set];
    }
  }
  for (const FaultId fault : background_.faults()) {
    const double odds = std::exp(scores_.priors().log_odds[fault.index()]);
    sums[catalogue_.site_of(fault)].modes[fault] += odds / (1 + background_.odds_beside(fault));
  }
  for (const auto& [site, sum] : sums) {
    fault::Suspect suspect;
    suspect.site = site;
    suspect.name = catalogue_.site_name(site);
    suspect.title = title_of(site, scores_.predictor());
    suspect.p = sum.p + (1 - sum.p) * background_.at(site);
    for (const auto& [fault, p] : sum.modes) {
      const fault::Fault& described = catalogue_.fault(fault);
      suspect.modes.push_back({described.mode, place_of(described, scores_.predictor()), p});
    }
    std::stable_sort(suspect.modes.begin(), suspect.modes.end(), [](const auto& a, const auto& b) { return a.p > b.p; });
    ranking_.suspects.push_back(std::move(suspect));
  }
  std::stable_sort(ranking_.suspects.begin(), ranking_.suspects.end(), [](const auto& a, const auto& b) { return a.p > b.p; });
}

bool Builder::betters(std::size_t set, std::size_t subset) const {
  for (std::size_t e = 0; e < scores_.evidence().size(); ++e) {
    if (row(set)[e] - row(subset)[e] >= options_.least_gain) return true;
  }
  return false;
}

/// The set itself, or the set without a member that explains nothing.
std::size_t Builder::core_of(std::size_t set) const {
  const Hypothesis& hypothesis = found_.sets[set].hypothesis;
  if (hypothesis.size() < 2 || !std::isfinite(options_.least_gain)) return set;
  for (const FaultId without : hypothesis) {
    Hypothesis smaller;
    for (const FaultId member : hypothesis) {
      if (member != without) smaller = smaller.with(member);
    }
    const auto place = index_.find(smaller);
    if (place != index_.end() && !betters(set, place->second)) return core_of(place->second);
  }
  return set;
}

void Builder::leaves() {
  for (std::size_t set = 0; set < p_.size(); ++set) index_.emplace(found_.sets[set].hypothesis, set);
  std::vector<double> gathered(p_.size(), 0);
  for (std::size_t set = 0; set < p_.size(); ++set) gathered[core_of(set)] += p_[set];
  double background_odds = 0;
  for (const FaultId fault : background_.faults()) background_odds += std::exp(scores_.priors().log_odds[fault.index()]);
  const double healthy = gathered[0] / (1 + background_odds);
  const double healthy_likelihood = found_.sets[0].log_likelihood;
  gathered[0] = healthy;
  std::vector<fault::Leaf> all;
  for (std::size_t set = 0; set < p_.size(); ++set) {
    if (gathered[set] > 0) all.push_back({found_.sets[set].hypothesis, gathered[set], found_.sets[set].log_prior, found_.sets[set].log_likelihood});
  }
  for (const FaultId fault : background_.faults()) {
    const double log_odds = scores_.priors().log_odds[fault.index()];
    all.push_back({Hypothesis(fault), healthy * std::exp(log_odds), log_odds, healthy_likelihood});
  }
  const auto before = [](const fault::Leaf& a, const fault::Leaf& b) { return a.p != b.p ? a.p > b.p : a.hypothesis < b.hypothesis; };
  const std::size_t count = std::min(all.size(), options_.leaves);
  std::partial_sort(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(count), all.end(), before);
  all.resize(count);
  ranking_.leaves = std::move(all);
}

/// A piece is doubted when the found sets together give more weight to its being misread than to its being right.
void Builder::doubted() {
  for (std::size_t e = 0; e < scores_.evidence().size(); ++e) {
    const fault::Evidence& piece = scores_.evidence()[e];
    if (piece.doubt <= 0) continue;
    const double misread = std::log(piece.doubt) + fault::log_misread(piece.value, piece.query.kind);
    double wrong = 0, all = 0;
    for (std::size_t set = 0; set < p_.size(); ++set) {
      all += p_[set];
      wrong += p_[set] * std::exp(std::min(0.0, misread - row(set)[e]));
    }
    if (wrong > 0.5 * all) ranking_.doubted.push_back(e);
  }
}

fault::Ranking Builder::build() {
  weigh();
  suspects();
  leaves();
  doubted();
  ranking_.steps = scores_.steps() + found_.steps;
  return std::move(ranking_);
}

}  // namespace

double outside_log_likelihood(const std::vector<fault::Evidence>& evidence, const std::vector<double>& healthy) {
  constexpr int kSteps = 10;
  std::array<double, kSteps> logs{};
  for (int step = 0; step < kSteps; ++step) {
    const double share = (step + 0.5) / kSteps;
    for (std::size_t e = 0; e < evidence.size(); ++e) {
      const double anything = std::exp(fault::log_misread(evidence[e].value, evidence[e].query.kind));
      logs[static_cast<std::size_t>(step)] += std::log((1 - share) * std::exp(healthy[e]) + share * anything);
    }
  }
  const double top = *std::max_element(logs.begin(), logs.end());
  double sum = 0;
  for (const double value : logs) sum += std::exp(value - top);
  return top + std::log(sum / kSteps);
}

fault::Ranking make_ranking(const Scores& scores, const Found& found, const RankOptions& options) { return Builder(scores, found, options).build(); }

}  // namespace halfsplit::infer
