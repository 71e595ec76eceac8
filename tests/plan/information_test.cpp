#include "plan/information.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"

using namespace halfsplit;
using observe::Word;

namespace {

fault::Outcome word(std::initializer_list<std::pair<Word, float>> chances) {
  fault::Outcome out;
  out.form = fault::Outcome::Form::words;
  for (const auto& [which, p] : chances) out.p[static_cast<std::size_t>(which)] = p;
  return out;
}
fault::Outcome volts(float mean, float deviation) {
  fault::Outcome out;
  out.form = fault::Outcome::Form::number;
  out.unit = observe::Unit::volts;
  out.parts[0] = {1, mean, deviation};
  return out;
}
fault::OutcomeTable column(std::vector<fault::Outcome> cells) {
  const std::size_t rows = cells.size();
  return {rows, 1, std::move(cells)};
}

}  // namespace

TEST_CASE("a reading that splits the suspects in half tells one bit") {
  const auto table = column({word({{Word::low, 1.f}}), word({{Word::high, 1.f}})});
  const auto grouping = plan::group_outcomes(table, 0, 0);
  CHECK(plan::information(grouping, {0.5, 0.5}, {0, 1}, 2) == doctest::Approx(1));
  CHECK(plan::information(grouping, {0.5, 0.5}, {0, 0}, 1) == doctest::Approx(0));
  CHECK(plan::information(grouping, {0.25, 0.75}, {0, 1}, 2) == doctest::Approx(0.8112781));
  CHECK(plan::information(grouping, {1, 3}, {0, 1}, 2) == doctest::Approx(0.8112781));
}

TEST_CASE("doubt makes a reading a noisy channel") {
  const auto table = column({word({{Word::low, 1.f}}), word({{Word::high, 1.f}})});
  const auto grouping = plan::group_outcomes(table, 0, 0.2);  // flips in 0.1
  const double noise = -(0.1 * std::log2(0.1) + 0.9 * std::log2(0.9));
  CHECK(plan::information(grouping, {0.5, 0.5}, {0, 1}, 2) == doctest::Approx(1 - noise));
}

TEST_CASE("equal predictions tell nothing") {
  const auto table = column({word({{Word::low, 1.f}}), word({{Word::low, 1.f}})});
  const auto grouping = plan::group_outcomes(table, 0, 0.02);
  CHECK(!grouping.tells());
  CHECK(plan::information(grouping, {0.5, 0.5}, {0, 1}, 2) == 0);
}

TEST_CASE("numbers are cut where the spreads cross") {
  const auto table = column({volts(0.25f, 0.1f), volts(0.26f, 0.1f), volts(3.5f, 0.4f), volts(1.5f, 0.2f)});
  const auto grouping = plan::group_outcomes(table, 0, 0);
  REQUIRE(grouping.values.size() == 3);
  CHECK(grouping.values[0].unit == observe::Unit::volts);
  CHECK(grouping.values[0].to < 1);
  CHECK(grouping.values[1].from > 0.5);
  CHECK(grouping.values[2].to == doctest::Approx(4.3).epsilon(0.05));
  CHECK(plan::information(grouping, {0.25, 0.25, 0.25, 0.25}, {0, 0, 1, 2}, 3) == doctest::Approx(1.5).epsilon(0.01));
}

TEST_CASE("overlapping spreads tell little") {
  const auto grouping = plan::group_outcomes(column({volts(5.0f, 0.1f), volts(5.2f, 0.1f)}), 0, 0);
  const double bits = plan::information(grouping, {0.5, 0.5}, {0, 1}, 2);
  // Cut in the middle each side is right with Phi(1).
  const double wrong = 0.1586553;
  CHECK(bits == doctest::Approx(1 + wrong * std::log2(wrong) + (1 - wrong) * std::log2(1 - wrong)).epsilon(1e-4));
  const auto close = plan::group_outcomes(column({volts(5.0f, 0.1f), volts(5.05f, 0.1f)}), 0, 0);
  CHECK(plan::information(close, {0.5, 0.5}, {0, 1}, 2) < 0.1);
}

TEST_CASE("information agrees with the definition on random columns") {
  Random random(7);
  for (int round = 0; round < 300; ++round) {
    const std::size_t rows = 2 + random.below(12), classes = 1 + random.below(4);
    std::vector<fault::Outcome> cells;
    std::vector<double> weights;
    std::vector<std::uint32_t> class_of;
    for (std::size_t row = 0; row < rows; ++row) {
      const float p = random.chance(0.5) ? 1.f : 0.25f;
      cells.push_back(random.chance(0.5) ? word({{Word::low, p}, {Word::pulsing, 1 - p}}) : word({{Word::high, p}, {Word::pulsing, 1 - p}}));
      weights.push_back(random.uniform());
      class_of.push_back(static_cast<std::uint32_t>(random.below(classes)));
    }
    const double doubt = random.uniform() * 0.2;
    const auto grouping = plan::group_outcomes(column(cells), 0, doubt);
    double total = 0;
    for (const double weight : weights) total += weight;
    const std::size_t groups = grouping.values.size();
    std::vector<std::vector<double>> joint(classes, std::vector<double>(groups, 0));
    std::vector<double> of_class(classes, 0), of_group(groups, 0);
    for (std::size_t row = 0; row < rows; ++row) {
      for (std::size_t g = 0; g < groups; ++g) {
        const double p = (1 - doubt) * cells[row].p[static_cast<std::size_t>(*grouping.values[g].word)] + doubt / static_cast<double>(groups);
        joint[class_of[row]][g] += weights[row] / total * p;
        of_class[class_of[row]] += weights[row] / total * p;
        of_group[g] += weights[row] / total * p;
      }
    }
    double bits = 0;
    for (std::size_t c = 0; c < classes; ++c) {
      for (std::size_t g = 0; g < groups; ++g) {
        if (joint[c][g] > 0) bits += joint[c][g] * std::log2(joint[c][g] / of_class[c] / of_group[g]);
      }
    }
    CHECK(plan::information(grouping, weights, class_of, classes) == doctest::Approx(bits).epsilon(1e-9));
  }
}
