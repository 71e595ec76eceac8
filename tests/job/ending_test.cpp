#include <doctest/doctest.h>

#include "job/ending.h"

using namespace halfsplit;
using namespace halfsplit::job;

TEST_CASE("outcomes and words are one to one") {
  int closed = 0;
  for (int i = 0; i < 8; ++i) {
    const auto outcome = static_cast<Outcome>(i);
    CHECK(outcome_named(name_of(outcome)) == outcome);
    closed += is_closed(outcome);
  }
  CHECK(closed == 5);
  CHECK_FALSE(is_closed(Outcome::waiting));
  CHECK_FALSE(outcome_named("done").has_value());
}

TEST_CASE("an ending names outcome and culprits and remark") {
  const auto ending = parse_ending("Proven U14 output-stuck-low, C3 ,U5.8 joint-open: corroded: by the cell");
  REQUIRE(ending.ok());
  CHECK(ending->outcome == Outcome::proven);
  CHECK(ending->culprits == std::vector<Culprit>{{"U14", "output-stuck-low"}, {"C3", ""}, {"U5.8", "joint-open"}});
  CHECK(ending->note == "corroded: by the cell");
  CHECK(write_ending(*ending) == "proven U14 output-stuck-low, C3, U5.8 joint-open: corroded: by the cell");
}

TEST_CASE("what an ending writes it reads again") {
  for (const char* text : {"proven U14", "waiting: for a spare", "unrepaired", "parts: board cracked", "came-back", "working-unproven", "partly outside, U1 x: y"}) {
    CAPTURE(text);
    const auto ending = parse_ending(text);
    REQUIRE(ending.ok());
    CHECK(write_ending(*ending) == text);
    CHECK(parse_ending(write_ending(*ending)).value() == *ending);
  }
}

TEST_CASE("endings that say nothing are refused") {
  for (const char* text : {"", ":", "open", "finished", "proven ,", "proven U14,", "proven U14 stuck low", ": U14"}) {
    CAPTURE(text);
    const auto ending = parse_ending(text);
    REQUIRE_FALSE(ending.ok());
    CHECK(ending.error().code == ErrorCode::usage);
    CHECK_FALSE(ending.error().hint.empty());
  }
}

TEST_CASE("the last closing counts") {
  std::vector<Line> lines;
  CHECK(ending_of(lines).outcome == Outcome::open);
  lines.push_back(make_line(LineKind::close, "proven U14", "2026-11-25T10:00:00Z").value());
  lines.push_back(make_line(LineKind::note, "fetched").value());
  CHECK(ending_of(lines).outcome == Outcome::proven);
  CHECK(ending_of(lines).when == "2026-11-25T10:00:00Z");
  lines.push_back(make_line(LineKind::close, "came-back").value());
  CHECK(ending_of(lines).outcome == Outcome::came_back);
  CHECK(ending_of(lines).culprits.empty());
}
