// Bench states and repairs in words, both ways.
#include <doctest/doctest.h>

#include <string>

#include "bench_machine.h"
#include "observe/dismantled.h"
#include "observe/parse.h"

using namespace halfsplit;
using namespace halfsplit::observe;
using bench::machine;

namespace {

std::string after(const char* line, const board::Setup& now = {}) {
  const auto read = parse_state(line, machine(), now);
  return read ? board::describe(*read, machine()) : "refused: " + read.error().text();
}

board::Setup setup(const char* line) {
  const auto read = parse_state(line, machine(), {});
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  return *read;
}

void holds(const std::string& text, const char* part) {
  INFO(text);
  CHECK(text.find(part) != std::string::npos);
}

}  // namespace

TEST_CASE("each change has its way back") {
  for (const auto& [there, back] : {std::pair{"U4-out", "U4-in"}, std::pair{"U4 pulled", "U4 refitted"}, std::pair{"lid-off", "lid-on"}, std::pair{"supply-lid-off", "supply-lid-on"},
                                    std::pair{"J3-unplugged", "J3-plugged"}, std::pair{"U7.6-lifted", "U7.6-down"}, std::pair{"U5.3-U5.4-bridged", "U5.4-U5.3-unbridged"},
                                    std::pair{"power-off", "power-on"}, std::pair{"key-A-held", "key-a-released"}, std::pair{"SW1-held", "SW1-released"},
                                    std::pair{"U5.3-low", "U5.3-free"}, std::pair{"U5.3 forced high", "U5.3-free"}, std::pair{"A held", "key-a released"}}) {
    CAPTURE(there);
    CAPTURE(back);
    const auto done = parse_state(there, machine(), {});
    REQUIRE_MESSAGE(done.ok(), done.error().text());
    CHECK(done->actions().size() == 1);
    const auto undone = parse_state(back, machine(), *done);
    REQUIRE_MESSAGE(undone.ok(), undone.error().text());
    CHECK(*undone == board::Setup{});
  }
}

TEST_CASE("several changes on one line and all of them back") {
  const board::Setup now = setup("U4-out lid-off J3-unplugged power-off");
  CHECK(now.actions().size() == 4);
  CHECK_FALSE(now.powered());
  CHECK(setup("U4 out, lid off and power off").actions().size() == 3);
  CHECK(*parse_state("complete", machine(), now) == board::Setup{});
  CHECK(parse_state("power-on", machine(), now)->powered());
}

TEST_CASE("a key is held by its function or by its switch") {
  const board::PartId key = *machine().find_part("SW1");
  CHECK(setup("key-A-held").actions().front().part == key);
  CHECK(setup("SW1-held") == setup("key-a held"));
}

TEST_CASE("changes that make no sense are refused and nothing is changed") {
  holds(after("U4-in"), "undoes what isn't so");
  holds(after("U44-out"), "did you mean");
  holds(after("U4-out U99-out"), "refused");
  holds(after("picture-held"), "not a key");
  holds(after("U4-lifted"), "not a pin");
  holds(after("U5.3-bridged"), "not a pair");
  holds(after("glorp-off"), "not a change");
  holds(after("U4"), "not a change");
  holds(after(""), "no change given");
  holds(after("out"), "of what");
}

TEST_CASE("repairs in words") {
  const auto shown = [](const char* line) {
    const auto read = parse_repair(line, machine());
    if (!read) return "refused: " + read.error().text();
    return machine().part(read->part).ref + (read->pin.known() ? " " + machine().name_of(read->pin) : "") + " " + name_of(read->act);
  };
  CHECK(shown("U4 replaced") == "U4 replaced");
  CHECK(shown("replaced U4 with a spare") == "U4 replaced");
  CHECK(shown("U5.8 resoldered") == "U5 U5.8 resoldered");
  CHECK(shown("reflowed pin 8 of U5") == "U5 U5.8 resoldered");
  CHECK(shown("J3 cleaned") == "J3 cleaned");
  CHECK(shown("U4 reseated") == "U4 reseated");
  CHECK(shown("U5.8 rewired") == "U5 U5.8 rewired");
  CHECK(shown("C12 removed") == "C12 removed");
  holds(shown("U4"), "what was done");
  holds(shown("U55 replaced"), "did you mean");
  holds(shown("A5 rewired"), "a part or a pin");
  holds(shown("U5.8 replaced"), "one pin");
  holds(shown("replaced"), "of what");
}

TEST_CASE("a remark behind a colon and the order of a line are kept") {
  const auto read = parse_state_line("power-off lid-off U4-out: 5 screws, the long one at the left", machine(), {});
  REQUIRE(read.ok());
  CHECK(read->remark == "5 screws, the long one at the left");
  REQUIRE(read->done.size() == 3);
  CHECK(board::describe(read->done[1], machine()) == "lid off");
  CHECK(board::describe(read->done[2], machine()) == "U4 out");
  holds(after(": 5 screws"), "no change given");
}

TEST_CASE("the way back is the way in reversed") {
  History history;
  board::Setup now;
  const auto change = [&](const char* line) {
    auto read = parse_state_line(line, machine(), now);
    REQUIRE(read.ok());
    now = read->now;
    history.add(StateChange{read->now, "", line, read->done, read->remark});
  };
  change("power-off lid-off: 5 screws and a spring; short ones in front");
  change("J3-unplugged U4-out");
  change("U4-out: notch up");
  change("U7.6-lifted");
  change("J3-plugged");
  const auto taken = dismantled(history);
  REQUIRE(taken.size() == 3);
  CHECK(board::describe(taken[0].action, machine()) == "lid off");
  CHECK(taken[1].remark == "notch up");
  CHECK(board::describe(taken[2].action, machine()) == "U7.6 lifted");
  CHECK(small_parts_in(taken[0].remark) == std::vector<std::string>{"5 screws", "a spring"});
  CHECK(small_parts_in("red to E5, black to E6").empty());
}

TEST_CASE("rails and the ground and clock outputs are never forced") {
  holds(after("U5.20-low"), "never forced");
  holds(after("U5.10-high"), "never forced");
  holds(after("U38.1-low"), "a clock output");
  holds(after("U5.3-low"), "U5.3 forced low");
}
