#include "infer/explain.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/text.h"
#include "infer/weights.h"

namespace halfsplit::infer {
namespace {

/// As a meter tells it: three figures.
double three_figures(double value) {
  if (value == 0 || !std::isfinite(value)) return value;
  const double unit = std::pow(10.0, std::floor(std::log10(std::abs(value))) - 2);
  return std::round(value / unit) * unit;
}

using fault::FaultId;
using fault::SiteId;

constexpr double kNever = -std::numeric_limits<double>::infinity();
constexpr double kSmall = 1e-4;        ///< an unlisted set below this share is not scored reading by reading
constexpr double kWasSuspect = 0.02;   ///< sites below this share are not named as spoken against
constexpr double kMuchLess = 0.25;
constexpr double kMostDecibans = 3000;

double log_add(double a, double b) {
  if (a < b) std::swap(a, b);
  return b == kNever ? a : a + std::log1p(std::exp(b - a));
}
double decibans(double log_odds) { return std::clamp(10 * log_odds / std::log(10.0), -kMostDecibans, kMostDecibans); }

/// All sets and the outside, weighed reading by reading.
class Course {
 public:
  Course(const Scores& scores, const Found& found, double least_gain)
      : scores_(scores), found_(found), columns_(scores.evidence().size()), core_(cores(scores, found, least_gain)) {
    const Background background(scores);
    const SetWeights weights = weigh_sets(scores, found, background);
    for (std::size_t set = 0; set < found.sets.size(); ++set) {
      log_w_.push_back(found.sets[set].log_prior + background.log_factor(found.sets[set].hypothesis));
      steps_.push_back(step_by_step(set, weights.p[set]));
    }
    for (std::size_t e = 0; e < columns_; ++e) healthy_.push_back(scores.healthy(e));
    // The outside ends where the ranking has it; on the way it follows the likelihood of the outside hypothesis.
    log_outside_end_ = std::log(std::max(weights.outside, 1e-300)) - std::log(std::max(weights.p[0], 1e-300)) + found.sets[0].weight() +
                       background.log_factor(found.sets[0].hypothesis);
    set_outside(0);
  }

  void advance(std::size_t column) {
    for (std::size_t set = 0; set < log_w_.size(); ++set) log_w_[set] += steps_[set][column];
    set_outside(column + 1);
  }
  double log_odds(SiteId site) const {
    double with = kNever, without = log_outside_;
    for (std::size_t set = 0; set < log_w_.size(); ++set) {
      double& sum = holds(set, site) ? with : without;
      sum = log_add(sum, log_w_[set]);
    }
    return with == kNever ? 0 : with - without;
  }
  /// Share of every site of the catalogue.
  std::vector<double> shares() const {
    double total = log_outside_;
    for (const double weight : log_w_) total = log_add(total, weight);
    std::vector<double> out(scores_.predictor().catalogue().site_count(), 0);
    for (std::size_t set = 0; set < log_w_.size(); ++set) {
      std::vector<SiteId> held;
      for (const FaultId member : found_.sets[core_[set]].hypothesis) held.push_back(scores_.predictor().catalogue().site_of(member));
      std::sort(held.begin(), held.end());
      held.erase(std::unique(held.begin(), held.end()), held.end());
      for (const SiteId site : held) out[site.index()] += std::exp(log_w_[set] - total);
    }
    return out;
  }

 private:
  bool holds(std::size_t set, SiteId site) const {
    const fault::Hypothesis& hypothesis = found_.sets[core_[set]].hypothesis;
    return std::any_of(hypothesis.begin(), hypothesis.end(), [&](FaultId member) { return scores_.predictor().catalogue().site_of(member) == site; });
  }
  void set_outside(std::size_t count) {
    const std::vector<double> so_far(healthy_.begin(), healthy_.begin() + static_cast<std::ptrdiff_t>(count));
    log_outside_ = log_outside_end_ - outside_log_likelihood(scores_.evidence(), healthy_) + outside_log_likelihood(scores_.evidence(), so_far);
  }
  /// What every reading adds to the log-likelihood of the set; a jointly scored set's readings are taken one more at a time.
  std::vector<double> step_by_step(std::size_t set, double p) const {
    const double* row = found_.rows.data() + set * columns_;
    std::vector<double> out(row, row + columns_);
    double sum = 0;
    for (const double value : out) sum += value;
    const double joint = found_.sets[set].log_likelihood - sum;
    if (std::abs(joint) < 1e-12 || columns_ == 0) return out;
    out.back() += joint;
    if (p < kSmall) return out;
    double before = 0;
    for (std::size_t e = 0; e < columns_; ++e) {
      StepBudget budget(std::numeric_limits<std::uint64_t>::max());
      const std::vector<fault::Evidence> so_far(scores_.evidence().begin(), scores_.evidence().begin() + static_cast<std::ptrdiff_t>(e) + 1);
      const double now = e + 1 == columns_ ? found_.sets[set].log_likelihood : scores_.predictor().score({found_.sets[set].hypothesis}, so_far, budget)[0];
      out[e] = now - before;
      before = now;
    }
    return out;
  }

  const Scores& scores_;
  const Found& found_;
  const std::size_t columns_;
  const std::vector<std::size_t> core_;
  std::vector<double> log_w_;
  std::vector<std::vector<double>> steps_;
  std::vector<double> healthy_;
  double log_outside_end_ = kNever, log_outside_ = kNever;
};

std::vector<SiteId> spoken_against(const std::vector<double>& before, const std::vector<double>& after, SiteId site) {
  std::vector<SiteId> out;
  for (std::size_t i = 0; i < before.size(); ++i) {
    if (SiteId(i) != site && before[i] >= kWasSuspect && after[i] < before[i] * kMuchLess) out.emplace_back(i);
  }
  std::stable_sort(out.begin(), out.end(), [&](SiteId a, SiteId b) { return before[a.index()] - after[a.index()] > before[b.index()] - after[b.index()]; });
  return out;
}

std::string names(const std::vector<SiteId>& sites, const fault::Catalogue& catalogue) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min<std::size_t>(sites.size(), 3); ++i) out.push_back(catalogue.site_name(sites[i]));
  std::string text = join(out, ", ");
  if (sites.size() > 3) text += fmt::format(" and {} more", sites.size() - 3);
  return text;
}

std::string text_of(const fault::Evidence& piece, const fault::Outcome& healthy, const std::vector<SiteId>& against, const fault::Predictor& predictor) {
  std::string text = observe::describe(piece.query.point, piece.query.kind, predictor.machine());
  if (!piece.query.cycle.empty()) text += " in " + piece.query.cycle;
  text += " " + observe::describe(piece.value);
  if (!piece.query.setup.actions().empty()) text += " with " + board::describe(piece.query.setup, predictor.machine());
  if (const auto expected = expected_value(healthy)) {
    text += ": ";
    text += fault::log_likelihood(piece.value, healthy, piece.query.kind) > std::log(0.2) ? "as expected" : "expected " + observe::describe(*expected);
  }
  if (!against.empty()) text += "; speaks against " + names(against, predictor.catalogue());
  return text;
}

}  // namespace

std::optional<observe::Value> expected_value(const fault::Outcome& outcome) {
  observe::Value value;
  if (outcome.form == fault::Outcome::Form::none) return std::nullopt;
  if (outcome.form == fault::Outcome::Form::words) {
    const auto top = std::max_element(outcome.p.begin(), outcome.p.end());
    value.word = static_cast<observe::Word>(top - outcome.p.begin());
    return value;
  }
  if (outcome.form == fault::Outcome::Form::bits) {
    value.failing = fault::likeliest_bits(outcome);
    value.word = outcome.no_report > 0.5f ? observe::Word::dead : *value.failing == 0 ? observe::Word::right : observe::Word::wrong;
    if (outcome.no_report > 0.5f) value.failing.reset();
    return value;
  }
  value.unit = outcome.unit;
  value.from = std::numeric_limits<double>::infinity();
  value.to = -value.from;
  for (const fault::Outcome::Part& part : outcome.parts) {
    if (part.weight < 0.05f) continue;
    value.from = std::min(value.from, three_figures(part.mean - 2.0 * part.deviation));
    value.to = std::max(value.to, three_figures(part.mean + 2.0 * part.deviation));
  }
  return value;
}

EvidenceWeights weigh_evidence(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                               SiteId site, const RankOptions& options) {
  Scores scores(predictor, priors);
  scores.add(evidence);
  const Found found = search(scores, options);
  Course course(scores, found, options.least_gain);
  EvidenceWeights out;
  out.start = decibans(course.log_odds(site));
  double now = out.start;
  std::vector<double> shares = course.shares();
  for (std::size_t e = 0; e < evidence.size(); ++e) {
    course.advance(e);
    const double next = decibans(course.log_odds(site));
    std::vector<double> after = course.shares();
    out.decibans.push_back(next - now);
    out.against.push_back(spoken_against(shares, after, site));
    now = next;
    shares = std::move(after);
  }
  out.result = now;
  return out;
}

Explanation explain(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence, SiteId site,
                    const RankOptions& options) {
  const EvidenceWeights weights = weigh_evidence(predictor, priors, evidence, site, options);
  std::vector<fault::Query> queries;
  for (const fault::Evidence& piece : evidence) queries.push_back(piece.query);
  StepBudget budget(std::numeric_limits<std::uint64_t>::max());
  const fault::OutcomeTable healthy = predictor.outcomes({fault::Hypothesis()}, queries, budget);
  Explanation out{weights.start, {}, weights.result};
  for (std::size_t e = 0; e < evidence.size(); ++e) {
    out.reasons.push_back({evidence[e].event, text_of(evidence[e], healthy.at(0, e), weights.against[e], predictor), weights.decibans[e]});
  }
  return out;
}

}  // namespace halfsplit::infer
