#include <doctest/doctest.h>

#include "parts/pattern.h"

using namespace halfsplit;
using namespace halfsplit::parts;

namespace {
std::vector<std::string> texts(std::string_view pattern) {
  TextTrouble trouble;
  std::vector<std::string> out;
  for (const auto& each : expand_pattern(pattern, trouble)) out.push_back(each.text);
  return out;
}
TextTrouble trouble_of(std::string_view pattern) {
  TextTrouble trouble;
  CHECK(expand_pattern(pattern, trouble).empty());
  return trouble;
}
using Texts = std::vector<std::string>;
}  // namespace

TEST_CASE("braces stand for lists and run together") {
  CHECK(texts("A0") == Texts{"A0"});
  CHECK(texts("A{0..3}") == Texts{"A0", "A1", "A2", "A3"});
  CHECK(texts("{3..1}Y") == Texts{"3Y", "2Y", "1Y"});
  CHECK(texts("Q{A..C}") == Texts{"QA", "QB", "QC"});
  CHECK(texts("D{08..10}") == Texts{"D08", "D09", "D10"});
  CHECK(texts("!({1..2}A & {2..1}B)") == Texts{"!(1A & 2B)", "!(2A & 1B)"});
}

TEST_CASE("every letter remembers where it came from") {
  TextTrouble trouble;
  const auto out = expand_pattern("X{10..11} & Y", trouble);
  REQUIRE(out.size() == 2);
  CHECK(out[1].text == "X11 & Y");
  CHECK(out[1].source == std::vector<std::uint32_t>{0, 1, 1, 9, 10, 11, 12, 13});
}

TEST_CASE("broken braces are told at their place") {
  CHECK(trouble_of("A{0..3").offset == 1);
  CHECK(trouble_of("A0..3}").offset == 5);
  CHECK(trouble_of("A{}").offset == 1);
  CHECK(trouble_of("A{0..B}").offset == 1);
  CHECK(trouble_of("A{0..300}").offset == 1);
  CHECK(trouble_of("A{0..3} B{0..2}").offset == 9);
}
