#include <doctest/doctest.h>

#include "fault/fault.h"

using namespace halfsplit::fault;

TEST_CASE("a hypothesis keeps its faults sorted whatever the order they came in") {
  const Hypothesis a = Hypothesis(FaultId(7)).with(FaultId(3)).with(FaultId(9)).with(FaultId(5));
  const Hypothesis b = Hypothesis(FaultId(9)).with(FaultId(5)).with(FaultId(7)).with(FaultId(3));
  CHECK(a == b);
  CHECK(a.size() == 4);
  CHECK(a[0] == FaultId(3));
  CHECK(a[3] == FaultId(9));
}

TEST_CASE("a hypothesis knows its members") {
  const Hypothesis pair = Hypothesis(FaultId(4)).with(FaultId(1));
  CHECK(pair.holds(FaultId(1)));
  CHECK(pair.holds(FaultId(4)));
  CHECK_FALSE(pair.holds(FaultId(2)));
  CHECK_FALSE(Hypothesis().holds(FaultId(0)));
}
