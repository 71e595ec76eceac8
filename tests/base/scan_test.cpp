#include "base/scan.h"

#include <doctest/doctest.h>

using namespace halfsplit;

namespace {
std::string repeated(const std::string& piece, std::size_t times) {
  std::string out;
  for (std::size_t i = 0; i < times; ++i) out += piece;
  return out;
}
bool passes(const std::string& text) { return scan_document(text, "f").ok(); }
}  // namespace

TEST_CASE("thirty-two segments and brackets pass and one more is refused") {
  CHECK(passes("a" + repeated(".a", 31) + " = 1"));
  CHECK_FALSE(passes("a" + repeated(".a", 32) + " = 1"));
  CHECK(passes("x = " + repeated("[", 32) + repeated("]", 32)));
  CHECK_FALSE(passes("x = " + repeated("[", 33)));
  CHECK_FALSE(passes("x = " + repeated("{a=", 33)));
  CHECK_FALSE(passes("[" + repeated("a.", 40000) + "a]"));
  CHECK_FALSE(passes("x = [\n" + repeated("[\n", 40)));
}

TEST_CASE("many keys and lines are no depth") {
  CHECK(passes(repeated("a.b.c = [1.5, 2.5]\n", 1000)));
  CHECK(passes("x = [" + repeated("1.5, ", 1000) + "]"));
}

TEST_CASE("brackets and dots in strings and comments do not count") {
  const std::string deep = repeated("[", 100), dots = repeated(".", 100);
  CHECK(passes("x = \"" + deep + dots + "\"\n"));
  CHECK(passes("x = \"\\\"" + deep + "\"\n"));
  CHECK(passes("x = '" + deep + dots + "\\'\n"));
  CHECK(passes("x = 1 # " + deep + dots + "\n"));
  CHECK(passes("x = \"\"\"\n" + deep + "\"\" \\\"\"\" " + dots + "\n\"\"\"\"\"\n"));
  CHECK(passes("x = '''\n" + deep + "'' " + dots + "\n'''\n"));
}

TEST_CASE("what follows a string counts again") {
  const std::string deep = repeated("[", 100);
  CHECK_FALSE(passes("x = \"a\"\ny = " + deep));
  CHECK_FALSE(passes("x = \"\"\ny = " + deep));
  CHECK_FALSE(passes("x = \"\"\"a\"\"\"\"\"\ny = " + deep));
  CHECK_FALSE(passes("x = 'a\\'\ny = " + deep));
  CHECK_FALSE(passes("x = 'unfinished\ny = " + deep));
}

TEST_CASE("places count lines and code points from one") {
  const Status deep = scan_document("# \xc2\xb5\n\xc2\xb5 = " + repeated("[", 33), "f.toml");
  REQUIRE_FALSE(deep.ok());
  CHECK(deep.error().place == Place{"f.toml", 2, 37});
}

TEST_CASE("valid utf-8 is told from broken") {
  CHECK(utf8_length("a\xc2\xb5\xe2\x82\xac\xf0\x9f\x94\xa7") == 10);
  CHECK(utf8_length("ab\xff") == 2);
  CHECK(utf8_length("\xc0\x80") == 0);          // overlong
  CHECK(utf8_length("\xed\xa0\x80") == 0);      // surrogate
  CHECK(utf8_length("\xf4\x90\x80\x80") == 0);  // over U+10FFFF
  CHECK(utf8_length("a\xe2\x82") == 1);         // cut off
}
