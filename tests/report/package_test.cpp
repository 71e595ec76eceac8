#include "report/package.h"

#include <doctest/doctest.h>

#include <sstream>

using namespace halfsplit;

TEST_CASE("a chip is drawn as it lies on the board with its odd pins marked") {
  report::PackagePicture picture{"U7", "dual gate", true, {{"1", "1A", "low", false}, {"2", "GND", "", false}, {"3", "1Y", "high", true}, {"4", "VCC", "", false}}};
  std::ostringstream out;
  report::print(out, picture, {});
  CHECK(out.str() == "U7, dual gate, component side up, notch at the top; * = not as it should be\n"
                     "  low  1A |1 \\/ 4| VCC\n"
                     "      GND |2    3| 1Y  high *\n");
}

TEST_CASE("a part that has no two rows is told as a list of what was read") {
  report::PackagePicture picture{"Q1", "transistor", false, {{"1", "E", "low", false}, {"2", "B", "", false}, {"3", "C", "high", false}}};
  std::ostringstream out;
  report::print(out, picture, {});
  CHECK(out.str() == "Q1, transistor, from pin 1 on\n  |1| E  low\n  |3| C  high\n");
}
