// One tip held on a pin, the other drawn along a chip: one line, a reading for each pin.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "bench_machine.h"
#include "observe/parse.h"

using namespace halfsplit;
using namespace halfsplit::observe;
using bench::machine;

namespace {

/// Pins that beep, "U4.9 U4.11", and how many readings there are.
std::pair<std::string, std::size_t> swept(const char* typed) {
  const auto read = parse_reading(typed, machine(), {});
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  std::string out;
  for (const Observation& one : *read) {
    CHECK(one.kind == Kind::continuity);
    CHECK(one.typed == typed);
    CHECK(!one.setup.powered());
    if (one.value.word == Word::beep) out += (out.empty() ? "" : " ") + machine().name_of(one.point.other);
  }
  return {out, read->size()};
}
std::string refused(const char* typed) {
  const auto read = parse_reading(typed, machine(), {});
  REQUIRE(!read.ok());
  CHECK(!read.error().hint.empty());
  return read.error().message;
}

}  // namespace

TEST_CASE("a sweep is a continuity reading for every pin of the chip") {
  CHECK(swept("U5.2 sweep U4 beep at 9") == std::pair<std::string, std::size_t>("U4.9", 14));
  CHECK(swept("U5.2 sweep U4 beep 9 and 11") == std::pair<std::string, std::size_t>("U4.9 U4.11", 14));
  CHECK(swept("U5.2 swept U4, beeps at pins 9, 11").first == "U4.9 U4.11");
  CHECK(swept("U5.2 along U4 no beep") == std::pair<std::string, std::size_t>("", 14));
  CHECK(swept("U5.2 sweep U4 no-beep").second == 14);
}

TEST_CASE("a sweep along its own chip leaves the held pin out") { CHECK(swept("U4.2 sweep U4 beep at 5").second == 13); }

TEST_CASE("a sweep that lacks something says what") {
  CHECK(refused("U5.2 sweep U4").find("what was heard") != std::string::npos);
  CHECK(refused("U5.2 sweep U4 9").find("where did it beep") != std::string::npos);
  CHECK(refused("U5.2 sweep U4 beep at 99").find("99") != std::string::npos);
  CHECK(refused("U5.2 sweep U99 beep at 1").find("U99") != std::string::npos);
  CHECK(refused("U5 sweep U4 beep at 1").find("hold a tip") != std::string::npos);
  CHECK(refused("U5.2 sweep").find("which chip") != std::string::npos);
}
