// Sites that are not to be mended count as nothing to repair.
#include "plan/rows.h"

#include <doctest/doctest.h>

using namespace halfsplit;
using fault::FaultId;
using fault::Hypothesis;
using fault::SiteId;

TEST_CASE("a spared site is neither a class nor the top") {
  std::vector<fault::Fault> faults(3);
  for (std::size_t i = 0; i < faults.size(); ++i) faults[i].site.pin = board::PinId(i);
  const auto catalogue = fault::Catalogue::of(faults, {SiteId(0), SiteId(1), SiteId(2)}, {"J4", "U1", "U2"});
  fault::Ranking ranking;
  const auto leaf = [&](Hypothesis hypothesis, double p) {
    fault::Leaf out;
    out.hypothesis = hypothesis;
    out.p = p;
    ranking.leaves.push_back(out);
  };
  leaf(Hypothesis(FaultId(0)), 0.6);
  leaf(Hypothesis(FaultId(0)).with(FaultId(1)), 0.25);
  leaf(Hypothesis(FaultId(2)), 0.1);
  const plan::Rows all = plan::make_rows(ranking, catalogue, 10);
  REQUIRE(all.top.has_value());
  CHECK(*all.top == SiteId(0));
  const plan::Rows rows = plan::make_rows(ranking, catalogue, 10, {SiteId(0)});
  REQUIRE(rows.top.has_value());
  CHECK(*rows.top == SiteId(1));
  CHECK(rows.sites == std::vector<SiteId>{SiteId(1), SiteId(2)});
  CHECK(rows.classes[rows.class_of[0]].empty());
  CHECK(rows.weight_at(SiteId(1), rows.weights) == doctest::Approx(0.25));
}
