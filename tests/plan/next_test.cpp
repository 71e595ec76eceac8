#include "plan/next.h"

#include <doctest/doctest.h>

#include "infer/rank.h"
#include "oracle/gate_rows.h"
#include "plan/decide.h"

using namespace halfsplit;
using observe::Word;
using oracle::reading;

namespace {

/// A reading whose value plays no part.
fault::Evidence taken(const fault::Query& query) {
  fault::Evidence piece;
  piece.query = query;
  return piece;
}

plan::PlanOptions at_the_bench() {
  plan::PlanOptions options;
  options.safety_order = false;  // a gate network has no rails
  return options;
}

}  // namespace

TEST_CASE("the first test halves a row of equals") {
  const auto predictor = oracle::inverter_row(8);
  const auto priors = oracle::even_priors(predictor, 0.001);
  const std::vector<fault::Evidence> evidence = {reading(predictor.query(8), Word::low, 1e-6)};
  const auto ranking = infer::rank(predictor, priors, evidence);
  auto options = at_the_bench();
  options.asked = {evidence[0]};
  options.reading_doubt = 1e-6;
  const auto tests = plan::next_tests(predictor, priors, ranking, options);
  REQUIRE(!tests.empty());
  CHECK(tests[0].query.point.pin == board::PinId(4));  // G3: four before and four behind
  CHECK(tests[0].bits == doctest::Approx(1).epsilon(0.01));
  CHECK(tests[0].reason == "halves the suspects");
  CHECK(tests[0].minutes == 1);
  REQUIRE(tests[0].outcomes.size() >= 2);
  CHECK(tests[0].outcomes[0].p == doctest::Approx(0.5).epsilon(0.01));
  for (std::size_t i = 1; i < tests.size(); ++i) CHECK(tests[i].bits / tests[i].minutes <= tests[i - 1].bits / tests[i - 1].minutes);
}

TEST_CASE("outcomes say who rises and who is cleared") {
  const auto predictor = oracle::inverter_row(2);
  const auto priors = oracle::even_priors(predictor, 0.001);
  const std::vector<fault::Evidence> evidence = {reading(predictor.query(2), Word::low, 1e-6)};
  const auto ranking = infer::rank(predictor, priors, evidence);
  const auto tests = plan::next_tests(predictor, priors, ranking, at_the_bench());
  REQUIRE(!tests.empty());
  CHECK(tests[0].query.point.pin == board::PinId(1));
  bool cleared = false;
  for (const auto& outlook : tests[0].outcomes) {
    if (outlook.value.word != Word::pulsing) continue;
    cleared = true;
    CHECK(outlook.means.find("G1 to") == 0);
    CHECK(outlook.means.find("clears G0") != std::string::npos);
  }
  CHECK(cleared);
}

TEST_CASE("a point is offered at most twice") {
  const auto predictor = oracle::inverter_row(8);
  const auto priors = oracle::even_priors(predictor, 0.001);
  const auto ranking = infer::rank(predictor, priors, {reading(predictor.query(8), Word::low, 1e-6)});
  auto options = at_the_bench();
  options.asked = {taken(predictor.query(4))};
  CHECK(plan::next_tests(predictor, priors, ranking, options)[0].query == predictor.query(4));
  options.asked.push_back(taken(predictor.query(4)));
  for (const auto& test : plan::next_tests(predictor, priors, ranking, options)) CHECK(!(test.query == predictor.query(4)));
}

TEST_CASE("what must not be proposed is not proposed") {
  const auto predictor = oracle::inverter_row(8);
  const auto priors = oracle::even_priors(predictor, 0.001);
  const auto ranking = infer::rank(predictor, priors, {reading(predictor.query(8), Word::low, 1e-6)});
  auto options = at_the_bench();
  options.permitted = [](const fault::Query& query) { return query.point.pin != board::PinId(4); };
  options.caution = [](const fault::Query&) { return "mind the heat"; };
  const auto tests = plan::next_tests(predictor, priors, ranking, options);
  REQUIRE(!tests.empty());
  for (const auto& test : tests) {
    CHECK(test.query.point.pin != board::PinId(4));
    CHECK(test.caution == "mind the heat");
  }
}

TEST_CASE("near the verdict the verdict is tested") {
  const auto predictor = oracle::inverter_row(8);
  auto priors = oracle::even_priors(predictor, 1e-5);
  priors.log_odds[6] = std::log(1e-2);  // G3 stuck low
  const std::vector<fault::Evidence> evidence = {reading(predictor.query(8), Word::low, 1e-6)};
  const auto ranking = infer::rank(predictor, priors, evidence);
  REQUIRE(ranking.suspects.front().name == "G3");
  REQUIRE(ranking.suspects.front().p > 0.95);
  const auto tests = plan::next_tests(predictor, priors, ranking, at_the_bench());
  REQUIRE(!tests.empty());
  CHECK(tests[0].reason == "verifies G3");
  // Its own output, or the one before it: both speak of G3 against the rest.
  CHECK((tests[0].query.point.pin == board::PinId(4) || tests[0].query.point.pin == board::PinId(3)));
}

TEST_CASE("repair minutes follow the order of chance per minute") {
  CHECK(plan::expected_repair_minutes({{1.0, 10}}, 100) == doctest::Approx(10));
  // First 10 min at 0.6, then 10 min for the other 0.4.
  CHECK(plan::expected_repair_minutes({{0.4, 10}, {0.6, 10}}, 100) == doctest::Approx(10 + 0.4 * 10));
  // Cheap and less probable goes first: 0.3/1 before 0.7/10.
  CHECK(plan::expected_repair_minutes({{0.7, 10}, {0.3, 1}}, 100) == doctest::Approx(1 + 0.7 * 10));
  // What is left goes astray.
  CHECK(plan::expected_repair_minutes({{0.9, 10}}, 100) == doctest::Approx(10 + 0.1 * 100));
  // A repair that promises less than it costs is left out.
  CHECK(plan::expected_repair_minutes({{0.01, 30}}, 100) == doctest::Approx(100));
}

TEST_CASE("measuring goes on while it saves minutes and repair follows certainty") {
  const auto predictor = oracle::inverter_row(4);
  const auto priors = oracle::even_priors(predictor, 0.001);
  std::vector<fault::Evidence> evidence = {reading(predictor.query(4), Word::low, 1e-4)};
  auto options = at_the_bench();
  auto decision = plan::decide(predictor, priors, infer::rank(predictor, priors, evidence), options);
  CHECK(decision.act == plan::Decision::Act::measure);
  CHECK(decision.measure_minutes < decision.repair_minutes);
  CHECK(!decision.replace.has_value());
  evidence.push_back(reading(predictor.query(3), Word::pulsing, 1e-4));
  decision = plan::decide(predictor, priors, infer::rank(predictor, priors, evidence), options);
  CHECK(decision.act == plan::Decision::Act::repair);
  REQUIRE(decision.site.has_value());
  CHECK(predictor.catalogue().site_name(*decision.site) == "G3");
  REQUIRE(decision.replace.has_value());
  CHECK(decision.replace->steps.size() == 3);
  CHECK(decision.replace->reason.find("G3 at") == 0);
}

TEST_CASE("nothing to tell gives no tests and a healthy machine no repair") {
  const auto predictor = oracle::inverter_row(2);
  const auto priors = oracle::even_priors(predictor, 1e-9);
  const auto ranking = infer::rank(predictor, priors, {reading(predictor.query(2), Word::pulsing, 1e-4)});
  const auto decision = plan::decide(predictor, priors, ranking, at_the_bench());
  CHECK(decision.act == plan::Decision::Act::stop);
  CHECK(decision.tests.empty());
}
