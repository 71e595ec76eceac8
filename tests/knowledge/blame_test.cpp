// A cure teaches one count, shared as it was probable.
#include <doctest/doctest.h>

#include "knowledge/blame.h"

using namespace halfsplit::knowledge;

namespace {

Suspected at(const std::string& position, double p, bool touched) { return {{"logic", "LS", "74244", "desk", position}, p, touched, {{"output-stuck-low", 1}}}; }

Micro total(const std::vector<Blame>& blames) {
  Micro out = 0;
  for (const Blame& blame : blames) out += blame.count;
  return out;
}

}  // namespace

TEST_CASE("one culprit that is shown has the whole count") {
  const auto blames = blames_for({at("U1", 0.3, true), at("U2", 0.6, false)}, 0);
  REQUIRE(blames.size() == 1);
  CHECK(blames[0].strand.position == "U1");
  CHECK(blames[0].count == kOne);
}

TEST_CASE("a cure after touching five things is shared among the five") {
  std::vector<Suspected> all;
  for (int i = 1; i <= 5; ++i) all.push_back(at("U" + std::to_string(i), i == 1 ? 0.4 : 0.1, true));
  all.push_back(at("U9", 0.2, false));
  const auto blames = blames_for(all, 0);
  REQUIRE(blames.size() == 5);
  CHECK(blames[0].strand.position == "U1");
  CHECK(blames[0].count == kOne / 2);
  CHECK(blames[4].count == kOne / 8);
  CHECK(total(blames) == kOne);
  for (Suspected& one : all) one.p = 0;
  CHECK(blames_for(all, 0)[0].count == kOne / 5);  // nobody came into question: evenly
}

TEST_CASE("without a touch the posterior is the lesson and half a count stays half a count") {
  const auto blames = blames_for({at("U1", 0.5, false), at("U2", 0.25, false)}, 0.1);
  REQUIRE(blames.size() == 2);
  CHECK(blames[0].count == kOne / 2);
  CHECK(blames[1].count == kOne / 4);
}

TEST_CASE("what was not touched keeps some of its share where the cause is not shown") {
  const auto blames = blames_for({at("U1", 0.5, true), at("U2", 0.5, false)}, 0.1);
  REQUIRE(blames.size() == 2);
  CHECK(blames[0].count == doctest::Approx(kOne / 1.1).epsilon(1e-5));
  CHECK(std::abs(total(blames) - kOne) <= 1);
}

TEST_CASE("a mode that is not known leaves its part of the count without a mode") {
  Suspected one = at("U1", 0.8, true);
  one.modes = {{"output-stuck-low", 0.75}};
  const auto blames = blames_for({one}, 0);
  REQUIRE(blames.size() == 2);
  CHECK(blames[0].count == 3 * kOne / 4);
  CHECK(blames[1].mode.empty());
  CHECK(blames[1].count == kOne / 4);
}
