#include "infer/posterior.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "infer/weights.h"

namespace halfsplit::infer {
namespace {

using fault::FaultId;
using fault::Hypothesis;
using fault::SiteId;

std::string place_of(const fault::Fault& fault, const fault::Predictor& predictor) {
  return fault.pin.known() ? predictor.machine().long_name_of(fault.pin) : std::string();
}

std::string title_of(SiteId site, const fault::Predictor& predictor) {
  const fault::Catalogue& catalogue = predictor.catalogue();
  for (const FaultId fault : catalogue.faults_at(site)) {
    const fault::Site& place = catalogue.fault(fault).site;
    if (place.kind != fault::Site::Kind::part || !place.part.known()) continue;
    const board::Part& part = predictor.machine().part(place.part);
    const bool named_by_value = catalogue.site_name(site) != part.ref;  // "whatever drives U5.20"
    return part.value.empty() || named_by_value ? part.type->title : part.value + " " + part.type->title;
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
  const double* row(std::size_t set) const { return found_.rows.data() + set * scores_.evidence().size(); }

  const Scores& scores_;
  const Found& found_;
  const RankOptions& options_;
  const fault::Catalogue& catalogue_;
  const Background background_;
  std::vector<double> p_;  ///< [set] any background beside it
  std::vector<std::size_t> core_;  ///< [set]
  fault::Ranking ranking_;
};

void Builder::weigh() {
  SetWeights weights = weigh_sets(scores_, found_, background_);
  core_ = cores(scores_, found_, options_.least_gain);
  p_ = std::move(weights.p);
  ranking_.outside = weights.outside;
  ranking_.outside_is_bound = weights.outside_is_bound;
  ranking_.healthy = p_[0] * std::exp(background_.log_none());
}

void Builder::suspects() {
  struct Sum { double p = 0; std::map<FaultId, double> modes; };
  std::map<SiteId, Sum> sums;
  for (std::size_t set = 0; set < p_.size(); ++set) {
    const Hypothesis& hypothesis = found_.sets[core_[set]].hypothesis;
    for (const FaultId* member = hypothesis.begin(); member != hypothesis.end(); ++member) {
      const SiteId site = catalogue_.site_of(*member);
      sums[site].modes[*member] += p_[set];
      const bool counted = std::any_of(hypothesis.begin(), member, [&](FaultId earlier) { return catalogue_.site_of(earlier) == site; });
      if (!counted) sums[site].p += p_[set];
    }
  }
  // Faults that nothing has looked at: beside every explanation when all sets are counted, else only where no fault explains the readings.
  const bool everything = !std::isfinite(options_.least_gain);
  double healthy = 0;
  for (std::size_t set = 0; set < p_.size(); ++set) healthy += core_[set] == 0 ? p_[set] : 0;
  if (scores_.evidence().empty()) healthy = 1;
  for (const FaultId fault : background_.faults()) {
    const double odds = std::exp(scores_.priors().log_odds[fault.index()]);
    sums[catalogue_.site_of(fault)].modes[fault] += (everything ? 1 : healthy) * odds / (1 + background_.odds_beside(fault));
  }
  for (const auto& [site, sum] : sums) {
    fault::Suspect suspect;
    suspect.site = site;
    suspect.name = catalogue_.site_name(site);
    suspect.title = title_of(site, scores_.predictor());
    suspect.p = sum.p + (everything ? 1 - sum.p : healthy) * background_.at(site);
    for (const auto& [fault, p] : sum.modes) {
      const fault::Fault& described = catalogue_.fault(fault);
      suspect.modes.push_back({described.mode, place_of(described, scores_.predictor()), p});
    }
    std::stable_sort(suspect.modes.begin(), suspect.modes.end(), [](const auto& a, const auto& b) { return a.p > b.p; });
    ranking_.suspects.push_back(std::move(suspect));
  }
  std::stable_sort(ranking_.suspects.begin(), ranking_.suspects.end(), [](const auto& a, const auto& b) { return a.p > b.p; });
}

void Builder::leaves() {
  std::vector<double> gathered(p_.size(), 0);
  for (std::size_t set = 0; set < p_.size(); ++set) gathered[core_[set]] += p_[set];
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

fault::Ranking make_ranking(const Scores& scores, const Found& found, const RankOptions& options) { return Builder(scores, found, options).build(); }

}  // namespace halfsplit::infer
