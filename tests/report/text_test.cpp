#include <doctest/doctest.h>

#include <sstream>

#include "report/style.h"
#include "report/table.h"

using namespace halfsplit;
using report::Ink;

TEST_CASE("a paragraph is broken at blanks and keeps its indent") {
  std::ostringstream out;
  report::paragraph(out, "one two three four five six seven", {false, 30}, "Head: ");
  CHECK(out.str() == "Head: one two three four five\n      six seven\n");
}

TEST_CASE("a word longer than the line stands alone and whole") {
  std::ostringstream out;
  report::paragraph(out, "a " + std::string(50, 'x') + " b", {false, 40});
  CHECK(out.str() == "a\n" + std::string(50, 'x') + "\nb\n");
}

TEST_CASE("columns are padded by what a terminal shows") {
  report::Table table;
  table.row({"10 \u00b5F", "x"});
  table.row({"1", "y"});
  std::ostringstream out;
  table.print(out, {false, 60});
  CHECK(out.str() == "10 \u00b5F  x\n1      y\n");
}

TEST_CASE("empty columns take no room and short rows end early") {
  report::Table table;
  table.row({"a", "", "c"});
  table.row({"b"});
  std::ostringstream out;
  table.print(out, {false, 60}, 2);
  CHECK(out.str() == "  a  c\n  b\n");
}

TEST_CASE("a table too wide becomes lines below each other") {
  report::Table table;
  table.row({std::string(30, 'a'), "the whole text here"});
  std::ostringstream out;
  table.print(out, {false, 40});
  CHECK(out.str() == std::string(30, 'a') + "\n  the whole text here\n");
}

TEST_CASE("without colour no escape gets out") {
  CHECK(report::inked("x", Ink::danger, {false, 80}) == "x");
  CHECK(report::inked("x", Ink::danger, {true, 80}) == "\x1b[1;31mx\x1b[0m");
}

TEST_CASE("minutes are told as at the bench") {
  CHECK(report::minutes(0.2) == "under 1 min");
  CHECK(report::minutes(1) == "1 min");
  CHECK(report::minutes(59.6) == "1 h");
  CHECK(report::minutes(80) == "1 h 20 min");
}
