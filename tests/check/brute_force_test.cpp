#include "check/brute_force.h"

#include <doctest/doctest.h>

#include "oracle/gate_cases.h"

using namespace halfsplit;

namespace {

/// Two inverters in a row, input low: A is high, B is low.
oracle::GatePredictor two_inverters() {
  oracle::GateNetwork network;
  network.nodes = {{oracle::GateNetwork::Op::input, "I", {}}, {oracle::GateNetwork::Op::negate, "A", {0}}, {oracle::GateNetwork::Op::negate, "B", {1}}};
  network.inputs = {0};
  network.outputs = {2};
  return oracle::GatePredictor(network, {{false}}, {false, false});
}
fault::Evidence reading(std::uint32_t node, observe::Word word, double doubt) {
  fault::Evidence out;
  out.query = oracle::GatePredictor::query(node);
  out.value.word = word;
  out.doubt = doubt;
  return out;
}

}  // namespace

TEST_CASE("brute force follows Bayes on two inverters worked by hand") {
  const auto predictor = two_inverters();
  REQUIRE(predictor.catalogue().size() == 4);  // A low, A high, B low, B high
  fault::PriorOdds priors;
  priors.log_odds = {std::log(0.1), std::log(0.1), std::log(0.1), std::log(0.2)};
  priors.log_outside = -1000;
  const auto evidence = std::vector{reading(2, observe::Word::high, 0.01)};
  const auto posterior = check::brute_force(predictor, priors, evidence, {fault::FaultId(0), fault::FaultId(1), fault::FaultId(2), fault::FaultId(3)}, 2);
  CHECK(posterior.p.size() == 1 + 4 + 4);
  const double misread = std::exp(fault::log_misread(evidence[0].value, observe::Kind::probe));
  const double right = 0.99 + 0.01 * misread, wrong = 0.01 * misread;
  // B high is read by: A low, B high, B high with A low or high. Everything else is a misreading.
  const double explained = 0.1 + 0.2 + 0.2 * 0.1 + 0.2 * 0.1;
  const double other = 1 + 0.1 + 0.1 + 0.1 * 0.1 + 0.1 * 0.1;
  const double total = explained * right + other * wrong;
  CHECK(posterior.site.at(fault::SiteId(0)) == doctest::Approx(((0.1 + 0.2 * 0.2) * right + (0.1 + 0.2 * 0.1) * wrong) / total));
  CHECK(posterior.site.at(fault::SiteId(1)) == doctest::Approx(((0.2 + 0.2 * 0.2) * right + (0.1 + 0.2 * 0.1) * wrong) / total));
}

TEST_CASE("the outside hypothesis explains what nothing else can") {
  const auto predictor = two_inverters();
  fault::PriorOdds priors;
  priors.log_odds.assign(4, std::log(1e-9));
  priors.log_outside = std::log(0.01);
  const auto odd = std::vector{reading(1, observe::Word::low, 1e-6), reading(2, observe::Word::low, 1e-6)};
  CHECK(check::brute_force(predictor, priors, odd, {fault::FaultId(0)}, 1).outside > 0.99);
  const auto even = std::vector{reading(1, observe::Word::high, 1e-6), reading(2, observe::Word::low, 1e-6)};
  CHECK(check::brute_force(predictor, priors, even, {fault::FaultId(0)}, 1).outside < 0.01);
}

TEST_CASE("the audit names a wrong weight and a wrong sum") {
  const auto predictor = two_inverters();
  fault::PriorOdds priors;
  priors.log_odds.assign(4, std::log(0.1));
  priors.log_outside = -1000;
  const auto evidence = std::vector{reading(2, observe::Word::high, 0.01)};
  StepBudget budget(10);
  fault::Ranking ranking;
  const fault::Hypothesis single(fault::FaultId(3));
  ranking.leaves.push_back({single, 0.9, std::log(0.1), predictor.score({single}, evidence, budget)[0]});
  ranking.suspects.push_back({fault::SiteId(1), "B", "", 0.9, {}});
  CHECK(check::audit(ranking, predictor, priors, evidence).empty());
  ranking.leaves[0].log_likelihood -= 1e-6;
  CHECK(check::audit(ranking, predictor, priors, evidence).size() == 1);
  ranking.leaves[0].log_likelihood += 1e-6;
  ranking.outside = 0.2;
  CHECK(check::audit(ranking, predictor, priors, evidence).size() == 1);
  ranking.outside = 0;
  ranking.suspects[0].p = 0.5;
  CHECK(check::audit(ranking, predictor, priors, evidence).size() == 1);
}
