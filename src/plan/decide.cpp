#include "plan/decide.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>

#include "plan/present.h"
#include "plan/weigh.h"
#include "plan/wording.h"

namespace halfsplit::plan {
namespace {

using fault::SiteId;

constexpr double kFlatRepair = 30, kFlatTryout = 2, kFlatAstray = 120;
constexpr double kWorthReplacing = 0.5;   ///< shown as an alternative to measuring
constexpr double kPays = 0.8;             ///< repaired without a reading that settles it, when none saves its minutes
constexpr std::size_t kTestsPriced = 20;

class Reckoning {
 public:
  Reckoning(const fault::Predictor& predictor, const Weighed& weighed, const fault::Costs* costs) : predictor_(predictor), weighed_(weighed), costs_(costs) {
    for (const SiteId site : weighed.rows.sites) repair_[site] = price(site);
  }
  double astray() const { return costs_ ? costs_->astray_minutes() : kFlatAstray; }
  double tryout() const { return costs_ ? costs_->tryout_minutes() : kFlatTryout; }
  /// Repair and try-out.
  double repair(SiteId site) const { return repair_.at(site); }
  /// Chance per site that it is the one to repair; the sites of one leaf share its weight.
  std::map<SiteId, double> shares(const std::vector<double>& weights) const {
    std::map<SiteId, double> out;
    const Rows& rows = weighed_.rows;
    double total = 0;
    for (const double weight : weights) total += weight;
    for (std::size_t row = 0; row < weights.size(); ++row) {
      const auto& held = rows.classes[rows.class_of[row]];
      for (const SiteId site : held) out[site] += weights[row] / total / static_cast<double>(held.size());
    }
    return out;
  }
  double minutes(const std::vector<double>& weights) const {
    std::vector<RepairChoice> choices;
    for (const auto& [site, p] : shares(weights)) choices.push_back({p, repair(site)});
    return expected_repair_minutes(std::move(choices), astray());
  }
  double minutes_after(const Prospect& prospect) const {
    const std::vector<double> chance = marginal(prospect.grouping, weighed_.rows.weights);
    double sum = prospect.minutes;
    for (std::size_t group = 0; group < chance.size(); ++group) {
      if (chance[group] > 0) sum += chance[group] * minutes(weights_after(weighed_, prospect, group));
    }
    return sum;
  }

 private:
  double price(SiteId site) const {
    return (costs_ ? costs_->repair_minutes(site, predictor_.catalogue(), predictor_.machine()) : kFlatRepair) + tryout();
  }
  const fault::Predictor& predictor_;
  const Weighed& weighed_;
  const fault::Costs* costs_;
  std::map<SiteId, double> repair_;
};

std::optional<SiteId> first_repair(const Reckoning& reckoning, const Rows& rows) {
  std::optional<SiteId> best;
  double most = 0;
  for (const auto& [site, p] : reckoning.shares(rows.weights)) {
    if (p / reckoning.repair(site) <= most) continue;
    most = p / reckoning.repair(site);
    best = site;
  }
  return best;
}

/// Near the verdict minutes count, not bits: the test that saves most comes first.
void order_by_saving(Weighed& weighed, const Reckoning& reckoning, double& best_minutes) {
  auto& prospects = weighed.prospects;
  const std::size_t count = std::min(prospects.size(), kTestsPriced);
  std::vector<std::pair<double, std::size_t>> priced;
  for (std::size_t i = 0; i < count; ++i) priced.emplace_back(reckoning.minutes_after(prospects[i]), i);
  if (priced.empty()) return;
  const bool safety = prospects.front().stage < 2;
  const auto cheapest = std::min_element(priced.begin(), priced.end());
  best_minutes = cheapest->first;
  if (!weighed.verifying || safety) return;
  std::rotate(prospects.begin(), prospects.begin() + static_cast<std::ptrdiff_t>(cheapest->second), prospects.begin() + static_cast<std::ptrdiff_t>(cheapest->second) + 1);
}

fault::Test as_test(SiteId site, double p, const Reckoning& reckoning, const Decision& decision, const fault::Predictor& predictor, const PlanOptions& options) {
  fault::Test test;
  const std::string& name = predictor.catalogue().site_name(site);
  test.query.setup = options.now;
  test.query.kind = observe::Kind::function;
  for (const fault::FaultId fault : predictor.catalogue().faults_at(site)) {
    const fault::Site& place = predictor.catalogue().fault(fault).site;
    if (place.kind != fault::Site::Kind::part || !place.part.known()) continue;
    test.query.point.at = observe::Point::At::part;
    test.query.point.part = place.part;
    break;
  }
  if (options.now.powered()) test.steps.push_back("power off");
  test.steps.push_back("repair or replace " + name);
  test.steps.push_back("power on and try the machine");
  test.minutes = reckoning.repair(site);
  observe::Value works, fails;
  works.word = observe::Word::right;
  fails.word = observe::Word::wrong;
  test.outcomes.push_back({works, p, name + " was it"});
  test.outcomes.push_back({fails, 1 - p, name + " was not all of it: go on from there"});
  test.reason = fmt::format("{} at {}: {:.0f} min expected by repairing, {:.0f} min by measuring on", name, percent(p), decision.repair_minutes, decision.measure_minutes);
  if (options.caution) test.caution = options.caution(test.query);
  return test;
}

}  // namespace

double expected_repair_minutes(std::vector<RepairChoice> choices, double astray_minutes) {
  std::stable_sort(choices.begin(), choices.end(), [](const RepairChoice& a, const RepairChoice& b) { return a.p * b.minutes > b.p * a.minutes; });
  double left = 1, sum = 0;
  for (const RepairChoice& choice : choices) {
    // Where the next repair promises less than giving up and starting afresh, that is done instead.
    if (choice.p <= 0 || left <= 0 || choice.p / left * astray_minutes < choice.minutes) break;
    sum += left * choice.minutes;
    left -= choice.p;
  }
  return sum + std::max(0.0, left) * astray_minutes;
}

Decision decide(const fault::Predictor& predictor, const fault::PriorOdds&, const fault::Ranking& ranking, const PlanOptions& options, const DecideOptions& thresholds) {
  Weighed weighed = weigh(predictor, ranking, options);
  const Reckoning reckoning(predictor, weighed, options.costs);
  Decision out;
  out.repair_minutes = reckoning.minutes(weighed.rows.weights);
  out.measure_minutes = out.repair_minutes;
  out.site = first_repair(reckoning, weighed.rows);
  if (out.site) out.p = weighed.rows.weight_at(*out.site, weighed.rows.weights);
  order_by_saving(weighed, reckoning, out.measure_minutes);
  out.tests = present(weighed, predictor, options);
  const bool saves = !weighed.prospects.empty() && out.measure_minutes < out.repair_minutes;
  const bool safety = !weighed.prospects.empty() && weighed.prospects.front().stage < 2;
  const bool enough = out.site && (out.p >= thresholds.sure_from || (out.p >= thresholds.repair_from && !saves));
  const bool pays = out.site && !saves && out.p >= kPays;
  if (!safety && (enough || pays)) {
    out.act = Decision::Act::repair;
    out.reason = enough ? fmt::format("{} holds {}", predictor.catalogue().site_name(*out.site), percent(out.p)) : "no reading is worth its minutes any more";
  } else if (!weighed.prospects.empty()) {
    out.act = Decision::Act::measure;
    out.reason = out.tests.empty() ? std::string() : out.tests.front().reason;
  } else {
    out.act = out.site && out.p >= kWorthReplacing ? Decision::Act::repair : Decision::Act::stop;
    out.reason = "no reading offered tells the suspects apart";
  }
  if (out.site && out.p >= kWorthReplacing) out.replace = as_test(*out.site, out.p, reckoning, out, predictor, options);
  return out;
}

}  // namespace halfsplit::plan
