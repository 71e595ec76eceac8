#include "trial/episode.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "fault/cost.h"
#include "infer/rank.h"
#include "plan/next.h"

namespace halfsplit::trial {
namespace {

using fault::Evidence;
using fault::Query;
using fault::Ranking;

/// Every test costs the same: what a trial counts is tests.
class FlatCosts final : public fault::Costs {
 public:
  double reading_minutes(observe::Kind, const observe::Point&, const board::Machine&) const override { return 1; }
  double next_pin_minutes(observe::Kind) const override { return 0.05; }
  double action_minutes(const board::Action&, const board::Machine&) const override { return 0.5; }
  double repair_minutes(fault::SiteId, const fault::Catalogue&, const board::Machine&) const override { return 20; }
};

double found_share(const Ranking& ranking) {
  if (ranking.suspects.empty()) return 0;
  double found = 0;
  for (const auto& leaf : ranking.leaves) found += leaf.hypothesis.empty() ? 0 : leaf.p;
  return found > 0 ? ranking.suspects.front().p / found : 0;
}

/// How probable the newest reading was under the hypothesis that is watched and under the foremost leaf before it was taken.
std::string likelihoods(const fault::Predictor& model, const infer::Session& session, const Ranking& before, const std::optional<fault::Hypothesis>& watched) {
  if (session.evidence().empty()) return {};
  const std::vector<Evidence> last{session.evidence().back()};
  std::string text;
  const auto say = [&](const char* name, const fault::Hypothesis& hypothesis) {
    StepBudget budget(1000);
    const auto scores = model.score({hypothesis}, last, budget);
    if (!scores.empty()) text += std::string("  ") + name + " " + std::to_string(std::exp(scores[0])).substr(0, 6);
  };
  if (watched) say("truth", *watched);
  if (!before.leaves.empty()) say("top", before.leaves.front().hypothesis);
  return text;
}

/// The probe point that about half of the suspects' weight can change.
std::optional<Query> middle_point(const fault::Predictor& model, const Ranking& ranking, const std::vector<Query>& points, const std::map<Query, int>& asked) {
  std::optional<Query> best;
  double best_gap = 2;
  std::vector<double> weight(model.catalogue().size(), 0);
  for (const auto& leaf : ranking.leaves)
    for (const auto f : leaf.hypothesis) weight[f.index()] += leaf.p;
  double total = 0;
  for (const double w : weight) total += w;
  for (std::size_t i = 0; i < points.size(); i += 1 + points.size() / 60) {
    if (asked.count(points[i]) && asked.at(points[i]) > 0) continue;
    double reached = 0;
    for (const auto f : model.reach(points[i])) reached += weight[f.index()];
    const double gap = std::abs(reached / std::max(total, 1e-12) - 0.5);
    if (gap < best_gap) { best_gap = gap; best = points[i]; }
  }
  return best;
}

}  // namespace

EpisodeResult run_episode(const fault::Predictor& model, const fault::PriorOdds& priors, World& world,
                          std::optional<fault::SiteId> true_site, std::optional<fault::FaultId> true_fault, const EpisodeOptions& options) {
  EpisodeResult result;
  infer::Session session(model, priors);
  const FlatCosts flat;
  std::map<Query, int> asked;
  Random random(options.seed);
  const auto note = [&](const Query& query, double doubt) {
    const auto value = world.answer(query);
    ++asked[query];
    if (!value) return;
    Evidence e;
    e.query = query;
    e.value = *value;
    e.doubt = doubt;
    e.event = session.evidence().size();
    session.add(e);
  };
  if (options.functions_told)
    for (const auto& query : model.queries({}, {observe::Kind::function}))
      if (!model.machine().function(query.point.function).held) note(query, options.function_doubt);  // single keys are tried when keys are the complaint
  const auto points = model.queries({}, {observe::Kind::probe, observe::Kind::volts_dc, observe::Kind::content});
  Ranking ranking = session.rank();
  while (result.tests < options.most_tests) {
    if (found_share(ranking) >= options.declare_at && result.tests > 0) break;
    std::vector<Query> next;  ///< one test: a point, or the pins of a walk round a chip
    if (options.policy == Policy::random) {
      next = {points[random.below(points.size())]};
    } else if (options.policy == Policy::half_split) {
      if (const auto middle = middle_point(model, ranking, points, asked)) next = {*middle};
    } else {
      plan::PlanOptions plan;
      plan.kinds = {observe::Kind::probe, observe::Kind::triggered, observe::Kind::volts_dc, observe::Kind::content, observe::Kind::memory, observe::Kind::dump, observe::Kind::function};
      // What the functions do as the machine stands was told at the start; without a part it is a test.
      plan.permitted = [](const Query& query) { return query.kind != observe::Kind::function || !query.setup.actions().empty(); };
      plan.costs = &flat;
      plan.tests = 3;
      plan.safety_order = false;
      plan.asked = session.evidence();
      const auto tests = plan::next_tests(model, priors, ranking, plan);
      if (options.log)
        for (const auto& test : tests) {
          std::string line = "        may ask " + board::describe(test.query.setup, model.machine()) + ": " + observe::describe(test.query.point, model.machine()) + (test.query.cycle.empty() ? "" : " in " + test.query.cycle) + (test.also.empty() ? "" : " and " + std::to_string(test.also.size()) + " more pins") + " " + std::to_string(test.bits).substr(0, 5) + " bits:";
          for (const auto& outcome : test.outcomes) line += " " + observe::describe(outcome.value) + " " + std::to_string(outcome.p).substr(0, 5) + " (" + outcome.means + ")";
          options.log(line);
        }
      for (const auto& test : tests)
        if (next.empty() && asked[test.query] < 2) {
          next = test.also;
          next.insert(next.begin(), test.query);
        }
    }
    if (next.empty()) break;
    ++result.tests;
    result.isolations += !next.front().setup.actions().empty();
    result.points += next.size();
    for (const Query& query : next) note(query, options.reading_doubt);
    if (options.log) {
      std::string line = board::describe(next.front().setup, model.machine()) + (next.front().cycle.empty() ? "" : " in " + next.front().cycle) + ":";
      for (std::size_t i = session.evidence().size() - std::min(session.evidence().size(), next.size()); i < session.evidence().size(); ++i)
        line += " " + observe::describe(session.evidence()[i].query.point, model.machine()) + " " + observe::describe(session.evidence()[i].value);
      options.log(line + likelihoods(model, session, ranking, options.watch));
    }
    ranking = session.rank();
    if (options.log) {
      std::string top = "        healthy " + std::to_string(ranking.healthy) + " outside " + std::to_string(ranking.outside) + ":";
      for (std::size_t i = 0; i < 5 && i < ranking.suspects.size(); ++i)
        top += " " + ranking.suspects[i].name + " " + std::to_string(ranking.suspects[i].p).substr(0, 5) + (ranking.suspects[i].modes.empty() ? "" : " (" + ranking.suspects[i].modes[0].mode + " " + ranking.suspects[i].modes[0].at + ")");
      options.log(top);
    }
  }
  result.claimed = found_share(ranking);
  result.wrong_readings = world.wrong_readings();
  for (std::size_t i = 0; i < ranking.suspects.size() && true_site; ++i)
    if (ranking.suspects[i].site == *true_site) { result.rank = i; break; }
  result.joint_named = true_fault && !ranking.leaves.empty() && ranking.leaves.front().hypothesis.holds(*true_fault);
  return result;
}

}  // namespace halfsplit::trial
