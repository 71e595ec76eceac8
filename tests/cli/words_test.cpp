#include <doctest/doctest.h>

#include "cli/words.h"

using namespace halfsplit;
using Words = std::vector<std::string>;

namespace {
Words sorted(const Words& arguments) {
  const auto out = cli::sorted_arguments(arguments);
  REQUIRE(out.ok());
  return *out;
}
}  // namespace

TEST_CASE("a negative reading stays a word and is no option") {
  CHECK(sorted({"read", "J3.4", "-5.06V"}) == Words{"read", "--", "J3.4", "-5.06V"});
  CHECK(sorted({"read", "U5.8", "-12", "--json"}) == Words{"read", "--json", "--", "U5.8", "-12"});
  CHECK(sorted({"--workshop", "x.db", "read", "U7", "L", "-", "P"}) == Words{"--workshop", "x.db", "read", "--", "U7", "L", "-", "P"});
}

TEST_CASE("global options are found behind the words with their values") {
  CHECK(sorted({"symptom", "no", "picture", "--workshop", "a.db"}) == Words{"symptom", "--workshop", "a.db", "--", "no", "picture"});
  CHECK(sorted({"job", "note", "read", "-h"}) == Words{"job", "note", "-h", "--", "read"});
}

TEST_CASE("what stands behind two dashes is words whatever it looks like") {
  CHECK(sorted({"job", "note", "--", "--json", "is", "a", "word"}) == Words{"job", "note", "--", "--json", "is", "a", "word"});
  CHECK_FALSE(cli::wants_json({"job", "note", "--", "--json"}));
  CHECK(cli::wants_json({"next", "--json"}));
}

TEST_CASE("a mistyped command names the nearest") {
  const auto near = cli::sorted_arguments({"suspcets"});
  REQUIRE_FALSE(near.ok());
  CHECK(near.error().code == ErrorCode::usage);
  CHECK(near.error().hint == "did you mean: halfsplit suspects");
  const auto within = cli::sorted_arguments({"job", "--json", "opne", "x"});
  REQUIRE_FALSE(within.ok());
  CHECK(within.error().hint == "did you mean: halfsplit job open");
  const auto reading = cli::sorted_arguments({"U5.8", "4.31V"});
  REQUIRE_FALSE(reading.ok());
  CHECK(reading.error().hint == "to enter a reading: halfsplit read U5.8 4.31V");
  const auto far = cli::sorted_arguments({"frobnicate"});
  REQUIRE_FALSE(far.ok());
  CHECK(far.error().hint.find("boards, check") != std::string::npos);
}

TEST_CASE("help with a command asks that command") {
  CHECK(sorted({"help", "read"}) == Words{"read", "--help"});
  CHECK(sorted({"help"}) == Words{"--help"});
  CHECK_FALSE(cli::sorted_arguments({"help", "raed"}).ok());
}
