#include "infer/explain.h"

#include <doctest/doctest.h>

#include <numeric>

#include "oracle/gate_cases.h"
#include "oracle/gate_rows.h"

using namespace halfsplit;
using observe::Word;
using oracle::reading;

TEST_CASE("weights of evidence add up to the odds of the ranking") {
  std::size_t compared = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const oracle::Case one = oracle::make_case(seed, {6, 3, 2, 1 + seed % 2, 6, {true, seed % 2 == 0}, 0.03, -4});
    infer::RankOptions options;
    options.leaves = 100000;
    const auto ranking = infer::rank(*one.predictor, one.priors, one.evidence, options);
    for (const auto& suspect : ranking.suspects) {
      const auto weights = infer::weigh_evidence(*one.predictor, one.priors, one.evidence, suspect.site, options);
      const double sum = std::accumulate(weights.decibans.begin(), weights.decibans.end(), weights.start);
      CHECK(sum == doctest::Approx(weights.result).epsilon(1e-9));
      if (suspect.p < 1e-6 || suspect.p > 1 - 1e-6) continue;
      // Sites that no reading reaches keep their prior and have no weights.
      if (std::all_of(weights.decibans.begin(), weights.decibans.end(), [](double value) { return value == 0; })) continue;
      CHECK_MESSAGE(weights.result == doctest::Approx(10 * std::log10(suspect.p / (1 - suspect.p))).epsilon(1e-6), "seed " << seed << " " << suspect.name);
      ++compared;
    }
  }
  CHECK(compared > 100);
}

TEST_CASE("a right output speaks against what feeds it") {
  const auto predictor = oracle::inverter_row(4);
  const auto priors = oracle::even_priors(predictor, 0.001);
  const std::vector<fault::Evidence> evidence = {reading(predictor.query(4), Word::low, 1e-4), reading(predictor.query(2), Word::pulsing, 1e-4)};
  const auto weights = infer::weigh_evidence(predictor, priors, evidence, fault::SiteId(3));
  REQUIRE(weights.decibans.size() == 2);
  CHECK(weights.decibans[0] > 20);                                 // one of four from one of thousands
  CHECK(weights.decibans[1] == doctest::Approx(4.77).epsilon(0.05));  // odds 1:3 become 1:1
  CHECK(weights.against[1] == std::vector<fault::SiteId>{fault::SiteId(0), fault::SiteId(1)});
  const auto cleared = infer::weigh_evidence(predictor, priors, evidence, fault::SiteId(0));
  CHECK(cleared.decibans[1] < -20);
}

TEST_CASE("what the healthy machine shows is the likeliest word or the range of the spreads") {
  fault::Outcome words;
  words.form = fault::Outcome::Form::words;
  words.p[static_cast<std::size_t>(Word::pulsing)] = 0.9f;
  words.p[static_cast<std::size_t>(Word::low)] = 0.1f;
  CHECK(infer::expected_value(words)->word == Word::pulsing);
  fault::Outcome number;
  number.form = fault::Outcome::Form::number;
  number.unit = observe::Unit::volts;
  number.parts[0] = {0.99f, 5.0f, 0.125f};
  number.parts[1] = {0.01f, 0.0f, 0.1f};
  CHECK(infer::expected_value(number)->from == doctest::Approx(4.75));
  CHECK(infer::expected_value(number)->to == doctest::Approx(5.25));
  CHECK(!infer::expected_value(fault::Outcome{}).has_value());
}
