#include "infer/rank.h"

#include <doctest/doctest.h>

#include "oracle/gate_cases.h"
#include "oracle/gate_rows.h"

using namespace halfsplit;
using observe::Word;
using oracle::reading;

namespace {

const fault::Suspect& suspect(const fault::Ranking& ranking, const std::string& name) {
  for (const fault::Suspect& one : ranking.suspects) {
    if (one.name == name) return one;
  }
  FAIL("no suspect " << name);
  return ranking.suspects.front();
}
bool same(const fault::Ranking& a, const fault::Ranking& b) {
  if (a.leaves.size() != b.leaves.size() || a.suspects.size() != b.suspects.size() || a.outside != b.outside || a.healthy != b.healthy) return false;
  for (std::size_t i = 0; i < a.leaves.size(); ++i) {
    if (!(a.leaves[i].hypothesis == b.leaves[i].hypothesis) || a.leaves[i].p != b.leaves[i].p) return false;
  }
  for (std::size_t i = 0; i < a.suspects.size(); ++i) {
    if (a.suspects[i].name != b.suspects[i].name || a.suspects[i].p != b.suspects[i].p) return false;
  }
  return true;
}

}  // namespace

TEST_CASE("without evidence every suspect has its prior") {
  const auto predictor = oracle::inverter_row(4);
  auto priors = oracle::even_priors(predictor, 0.05);
  priors.log_odds[2] = std::log(0.2);  // G1 stuck low
  const auto ranking = infer::rank(predictor, priors, {});
  CHECK(ranking.suspects.size() == 4);
  CHECK(ranking.suspects.front().name == "G1");
  CHECK(suspect(ranking, "G1").p == doctest::Approx(0.25 / 1.25));  // its two modes exclude each other
  CHECK(suspect(ranking, "G3").p == doctest::Approx(0.1 / 1.1));
  CHECK(suspect(ranking, "G1").modes.front().mode == "output-stuck-low");
  CHECK(suspect(ranking, "G1").modes.front().p == doctest::Approx(0.2 / 1.25));
  CHECK(ranking.healthy == doctest::Approx(1 / 1.25 / 1.1 / 1.1 / 1.1));
  double sum = ranking.outside;
  for (const auto& leaf : ranking.leaves) sum += leaf.p;
  CHECK(sum == doctest::Approx(1));
}

TEST_CASE("a wrong output points at everything before it and a right one clears it") {
  const auto predictor = oracle::inverter_row(4);
  const auto priors = oracle::even_priors(predictor, 0.001);
  // Moving input: G3 should move, and is seen low.
  std::vector<fault::Evidence> evidence = {reading(predictor.query(4), Word::low, 1e-6)};
  auto ranking = infer::rank(predictor, priors, evidence);
  for (const char* name : {"G0", "G1", "G2", "G3"}) CHECK(suspect(ranking, name).p == doctest::Approx(0.25).epsilon(0.01));
  evidence.push_back(reading(predictor.query(2), Word::pulsing, 1e-6));  // G1 moves
  ranking = infer::rank(predictor, priors, evidence);
  CHECK(suspect(ranking, "G2").p == doctest::Approx(0.5).epsilon(0.01));
  CHECK(suspect(ranking, "G3").p == doctest::Approx(0.5).epsilon(0.01));
  CHECK(suspect(ranking, "G0").p < 0.001);
  CHECK(ranking.healthy < 1e-3);
}

TEST_CASE("two independent faults come out with both sites and without simulating pairs") {
  const auto predictor = oracle::two_rows(6);
  const auto priors = oracle::even_priors(predictor, 0.001);
  std::vector<fault::Evidence> evidence;
  const auto node = [&](const std::string& name) {
    for (std::uint32_t i = 0; i < predictor.network().nodes.size(); ++i) {
      if (predictor.network().nodes[i].name == name) return i;
    }
    FAIL("no node " << name);
    return 0u;
  };
  evidence.push_back(reading(predictor.query(node("A2")), Word::pulsing, 1e-4));
  evidence.push_back(reading(predictor.query(node("A3")), Word::low, 1e-4));
  evidence.push_back(reading(predictor.query(node("B0")), Word::pulsing, 1e-4));
  evidence.push_back(reading(predictor.query(node("B1")), Word::high, 1e-4));
  const auto ranking = infer::rank(predictor, priors, evidence);
  REQUIRE(!ranking.leaves.empty());
  CHECK(ranking.leaves.front().hypothesis.size() == 2);
  CHECK(suspect(ranking, "A3").p > 0.9);
  CHECK(suspect(ranking, "B1").p > 0.9);
  CHECK(ranking.suspects[0].p + ranking.suspects[1].p > 1.8);
  CHECK(ranking.steps == predictor.catalogue().size() - (2 + 4) * 2 + 1);  // the healthy machine and the singles in reach
}

TEST_CASE("three faults are found where three readings ask for them") {
  const oracle::CaseShape shape{12, 4, 2, 3, 0, {false, false}, 0.001, -6};
  std::size_t found = 0, cases = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    oracle::Case one = oracle::make_case(seed, shape);
    Random random(seed);
    for (const auto& query : one.predictor->queries({}, {observe::Kind::triggered})) one.evidence.push_back(reading(query, one.predictor->seen(one.truth, query, random), 0.001));
    const auto ranking = infer::rank(*one.predictor, one.priors, one.evidence);
    // The truth or something that no reading tells from it: its weight is not beaten.
    StepBudget budget(1);
    double weight = one.predictor->score({one.truth}, one.evidence, budget)[0];
    for (const auto member : one.truth) weight += one.priors.log_odds[member.index()];
    ++cases;
    found += ranking.leaves.front().log_prior_odds + ranking.leaves.front().log_likelihood >= weight - 1e-9;
  }
  CHECK(found == cases);
}

TEST_CASE("a misread reading is outvoted and named as doubted") {
  const auto predictor = oracle::inverter_row(5);
  const auto priors = oracle::even_priors(predictor, 0.001);
  std::vector<fault::Evidence> evidence = {reading(predictor.query(3), Word::low, 0.02)};
  for (int again = 0; again < 2; ++again) evidence.push_back(reading(predictor.query(5), Word::pulsing, 0.02));
  const auto ranking = infer::rank(predictor, priors, evidence);
  CHECK(ranking.doubted == std::vector<std::size_t>{0});
  CHECK(ranking.healthy > 0.9);
}

TEST_CASE("readings that nothing explains leave the mass outside") {
  const auto predictor = oracle::inverter_row(3);
  auto priors = oracle::even_priors(predictor, 1e-7, 1e-3);
  std::vector<fault::Evidence> evidence;
  for (std::uint32_t node = 1; node <= 3; ++node) evidence.push_back(reading(predictor.query(node), Word::middle, 1e-4));
  const auto ranking = infer::rank(predictor, priors, evidence);
  CHECK(ranking.outside > 0.99);
}

TEST_CASE("a harmless extra fault belongs to its core") {
  const auto predictor = oracle::inverter_row(6);
  const auto priors = oracle::even_priors(predictor, 0.01);
  const std::vector<fault::Evidence> evidence = {reading(predictor.query(5), Word::pulsing, 1e-3), reading(predictor.query(6), Word::low, 1e-3)};
  const auto ranking = infer::rank(predictor, priors, evidence);
  CHECK(ranking.leaves.front().hypothesis.size() == 1);
  for (const auto& leaf : ranking.leaves) CHECK_MESSAGE((leaf.hypothesis.size() < 2 || leaf.p < 1e-3), "a superset among the leaves");
}

TEST_CASE("reading by reading equals all at once and repeats to the bit") {
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    const oracle::Case one = oracle::make_case(seed, {8, 3, 2, 2, 7, {true, true}, 0.03, -4});
    infer::Session session(*one.predictor, one.priors);
    for (const auto& piece : one.evidence) session.add(piece);
    const auto whole = infer::rank(*one.predictor, one.priors, one.evidence);
    CHECK(same(session.rank(), whole));
    CHECK(same(infer::rank(*one.predictor, one.priors, one.evidence), whole));
  }
}

TEST_CASE("a smaller budget only moves mass to the outside") {
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    const oracle::Case one = oracle::make_case(seed, {10, 3, 2, 2, 8, {true, false}, 0.01, -5});
    infer::RankOptions little;
    little.steps = 0;
    const auto quick = infer::rank(*one.predictor, one.priors, one.evidence, little);
    double sum = quick.outside;
    for (const auto& leaf : quick.leaves) sum += leaf.p;
    CHECK(sum <= 1 + 1e-9);
    CHECK(quick.steps <= infer::rank(*one.predictor, one.priors, one.evidence).steps);
  }
}

TEST_CASE("faults with no odds are never suspects") {
  const auto predictor = oracle::inverter_row(3);
  auto priors = oracle::even_priors(predictor, 0.01);
  for (const std::size_t fault : {2u, 3u}) priors.log_odds[fault] = -std::numeric_limits<double>::infinity();  // G1
  const auto ranking = infer::rank(predictor, priors, {reading(predictor.query(3), Word::low)});
  for (const auto& one : ranking.suspects) CHECK(one.name != "G1");
}
