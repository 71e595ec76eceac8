// Agreement of infer with the brute force of check on small random networks. infer and check know nothing of each other.
#include <doctest/doctest.h>

#include "check/brute_force.h"
#include "infer/rank.h"
#include "oracle/gate_cases.h"

using namespace halfsplit;

namespace {

std::vector<fault::FaultId> every_fault(const fault::Predictor& predictor) {
  std::vector<fault::FaultId> out;
  for (std::size_t i = 0; i < predictor.catalogue().size(); ++i) out.emplace_back(i);
  return out;
}
std::vector<fault::FaultId> reached(const oracle::Case& one) {
  std::set<fault::FaultId> out;
  for (const auto& piece : one.evidence) {
    for (const auto fault : one.predictor->reach(piece.query)) out.insert(fault);
  }
  return {out.begin(), out.end()};
}
infer::RankOptions exhaustive(std::size_t most) {
  infer::RankOptions options;
  options.max_faults = most;
  options.steps = std::uint64_t{1} << 60;
  options.least_gain = -std::numeric_limits<double>::infinity();
  options.stop_share = 0;
  options.leaves = 1000000;
  return options;
}

/// Does the set make some reading much more probable than the subset does?
bool gains(const oracle::Case& one, const fault::Hypothesis& set, const fault::Hypothesis& subset, double least_gain) {
  StepBudget budget(1u << 20);
  const auto rows = one.predictor->score_each({set, subset}, one.evidence, budget);
  for (std::size_t e = 0; e < one.evidence.size(); ++e) {
    if (rows[0][e] - rows[1][e] >= least_gain) return true;
  }
  return false;
}

/// Chance per site that it is needed: every set of up to three faults counts as what is left when harmless members are taken out one by one.
std::map<fault::SiteId, double> sites_of_cores(const oracle::Case& one, double least_gain) {
  const auto posterior = check::brute_force(*one.predictor, one.priors, one.evidence, reached(one), 3);
  std::map<fault::SiteId, double> out;
  for (const auto& [set, p] : posterior.p) {
    fault::Hypothesis core = set;
    for (bool shrunk = true; shrunk && core.size() > 1;) {
      shrunk = false;
      for (const fault::FaultId without : core) {
        fault::Hypothesis smaller;
        for (const fault::FaultId member : core) {
          if (member != without) smaller = smaller.with(member);
        }
        if (gains(one, core, smaller, least_gain)) continue;
        core = smaller;
        shrunk = true;
        break;
      }
    }
    std::set<fault::SiteId> here;
    for (const fault::FaultId member : core) here.insert(one.predictor->catalogue().site_of(member));
    for (const fault::SiteId site : here) out[site] += p;
  }
  return out;
}

}  // namespace

TEST_CASE("with nothing pruned the suspects equal the whole posterior") {
  // Four gates, one exclusive site each: sets of up to four are all sets there are, faults out of reach included.
  double worst = 0;
  for (std::uint64_t seed = 1; seed <= oracle::case_count(300); ++seed) {
    const std::size_t truth = seed % 4;
    oracle::Case one = oracle::make_case(seed, {4, 3, 2, truth, 1 + seed % 7, {false, true}, 0.05, -2});
    const auto some = infer::rank(*one.predictor, one.priors, one.evidence, exhaustive(4));
    const auto complaints = check::audit(some, *one.predictor, one.priors, one.evidence);
    CHECK_MESSAGE(complaints.empty(), "seed " << seed << ": " << complaints.front());
    // The outside stands beside whatever no reading reaches, as every hypothesis does: compared among the faults that are reached.
    const auto within = check::brute_force(*one.predictor, one.priors, one.evidence, reached(one), 4);
    const fault::Leaf& first = some.leaves.front().hypothesis.empty() ? some.leaves[1] : some.leaves.front();
    if (within.p.count(first.hypothesis) != 0) CHECK_MESSAGE(some.outside / first.p == doctest::Approx(within.outside / within.p.at(first.hypothesis)).epsilon(1e-9), "seed " << seed);

    one.priors.log_outside = -1000;
    const auto ranking = infer::rank(*one.predictor, one.priors, one.evidence, exhaustive(4));
    const auto posterior = check::brute_force(*one.predictor, one.priors, one.evidence, every_fault(*one.predictor), 4);
    for (const fault::Suspect& suspect : ranking.suspects) {
      const double difference = std::abs(suspect.p - posterior.site.at(suspect.site));
      worst = std::max(worst, difference);
      CHECK_MESSAGE(difference <= 1e-9, "seed " << seed << " " << suspect.name);
    }
    CHECK_MESSAGE(std::abs(ranking.healthy - posterior.p.at(fault::Hypothesis())) <= 1e-9, "seed " << seed);
  }
  MESSAGE("largest difference " << worst);
}

TEST_CASE("up to k faults every leaf agrees to 1e-9 on 1000 seeded cases") {
  double worst = 0;
  for (std::uint64_t seed = 1; seed <= oracle::case_count(1000); ++seed) {
    const std::size_t most = seed % 4 == 0 ? 3 : 2;
    const std::size_t gates = most == 3 ? 3 + seed % 2 : 3 + seed % 4;
    const bool unlisted = seed % 3 == 0;
    const oracle::Case one = oracle::make_case(1000 + seed, {gates, 3, 2, seed % (most + 1), 3 + seed % 6, {true, unlisted}, 0.04, -3.5});
    auto options = exhaustive(most);
    const auto ranking = infer::rank(*one.predictor, one.priors, one.evidence, options);
    const auto posterior = check::brute_force(*one.predictor, one.priors, one.evidence, reached(one), most);
    std::size_t compared = 0;
    const fault::Leaf* anchor = nullptr;
    for (const fault::Leaf& leaf : ranking.leaves) {
      const auto place = posterior.p.find(leaf.hypothesis);
      if (place == posterior.p.end() || leaf.hypothesis.empty()) continue;
      if (anchor == nullptr) anchor = &leaf;
      // Normalised by the first leaf: the readings can leave other faults out of reach, which the reference was not given.
      const double told = leaf.p / anchor->p, slow = place->second / posterior.p.at(anchor->hypothesis);
      worst = std::max(worst, std::abs(told - slow));
      CHECK_MESSAGE(std::abs(told - slow) <= 1e-9, "seed " << seed);
      ++compared;
    }
    CHECK_MESSAGE(compared + 1 == posterior.p.size(), "seed " << seed);
  }
  MESSAGE("largest difference " << worst);
}

TEST_CASE("hard readings: the mass that was not found is never above the bound") {
  std::size_t bounded = 0, missing = 0;
  for (std::uint64_t seed = 1; seed <= oracle::case_count(400); ++seed) {
    oracle::CaseShape shape{6, 3, 2, 1 + seed % 3, 6, {true, seed % 2 == 0}, 1e-5, -5};
    const oracle::Case one = oracle::make_case(5000 + seed, shape);
    infer::RankOptions options;
    options.steps = seed % 40;
    options.leaves = 100000;
    const auto ranking = infer::rank(*one.predictor, one.priors, one.evidence, options);
    if (!ranking.outside_is_bound) continue;
    ++bounded;
    const auto posterior = check::brute_force(*one.predictor, one.priors, one.evidence, reached(one), 3);
    std::set<fault::Hypothesis> told;
    for (const fault::Leaf& leaf : ranking.leaves) told.insert(leaf.hypothesis);
    double lost = 0;
    for (const auto& [hypothesis, p] : posterior.p) {
      if (told.count(hypothesis) != 0) continue;
      // A harmless extra belongs to the hypothesis without it: same readings as some subset, each as probable to within the least gain.
      bool harmless = false;
      for (std::size_t skip = 1; skip < (std::size_t{1} << hypothesis.size()); ++skip) {
        fault::Hypothesis smaller;
        for (std::size_t i = 0; i < hypothesis.size(); ++i) {
          if ((skip >> i & 1) == 0) smaller = smaller.with(hypothesis[i]);
        }
        harmless = harmless || !gains(one, hypothesis, smaller, options.least_gain);
      }
      if (!harmless) lost += p;
    }
    missing += lost > 1e-12;
    CHECK_MESSAGE(lost <= ranking.outside + 1e-12, "seed " << seed << " lost " << lost << " outside " << ranking.outside);
  }
  CHECK(bounded > 50);
  CHECK(missing > 5);
}

TEST_CASE("with the usual budget the ranking is near the cores of the whole posterior") {
  std::size_t cases = 0, near = 0, same_first = 0;
  for (std::uint64_t seed = 1; seed <= oracle::case_count(300); ++seed) {
    const oracle::Case one = oracle::make_case(9000 + seed, {5, 3, 2, 1 + seed % 2, 6, {true, seed % 2 == 0}, 0.02, -5});
    const infer::RankOptions options;
    const auto ranking = infer::rank(*one.predictor, one.priors, one.evidence, options);
    const auto sites = sites_of_cores(one, options.least_gain);
    double difference = 0, top = 0;
    for (const fault::Suspect& suspect : ranking.suspects) {
      const auto place = sites.find(suspect.site);
      if (place != sites.end()) difference = std::max(difference, std::abs(suspect.p - place->second));
    }
    for (const auto& [site, p] : sites) top = std::max(top, p);
    ++cases;
    near += difference < 0.05;
    const auto first = std::find_if(ranking.suspects.begin(), ranking.suspects.end(), [&](const fault::Suspect& suspect) { return sites.count(suspect.site) != 0; });
    same_first += first != ranking.suspects.end() && sites.at(first->site) > top - 0.02;
    const auto complaints = check::audit(ranking, *one.predictor, one.priors, one.evidence);
    CHECK_MESSAGE(complaints.empty(), "seed " << seed << ": " << complaints.front());
  }
  MESSAGE(near << " of " << cases << " within 0.05; " << same_first << " with the same first suspect");
  CHECK(near * 100 >= cases * 90);
  CHECK(same_first * 100 >= cases * 97);
}
