// How people name a place on the board, and what each name means.
#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "bench_machine.h"
#include "observe/parse.h"

using namespace halfsplit;
using namespace halfsplit::observe;
using bench::machine;

namespace {

std::string shown(const char* typed) {
  const auto point = parse_point(typed, machine());
  return point ? describe(*point, machine()) : "refused: " + point.error().text();
}

std::string refused(const char* typed) {
  const auto point = parse_point(typed, machine());
  if (point) return "accepted: " + describe(*point, machine());
  CHECK_FALSE(point.error().hint.empty());
  return point.error().message + " | " + point.error().hint;
}

void holds(const std::string& text, const char* part) {
  INFO(text);
  CHECK(text.find(part) != std::string::npos);
}

}  // namespace

TEST_CASE("a leg in every spelling") {
  for (const char* typed : {"U5.8", "u5.8", "U5 pin 8", "pin 8 of U5", "U5 p8", "U5P8", "U5(8)", "U5 (8)", "U5 (pin 8)", "U5-8", "U5:8", "@U5.8", "U5.8:", "leg 8 of U5", "U5.1A3", "main/U5.8"}) {
    CAPTURE(typed);
    CHECK(shown(typed) == shown("U5.8"));
  }
  CHECK(shown("IC12(20)") == machine().long_name_of(*machine().find_pin("IC12.20")));
  CHECK(shown("Q3 e") == shown("Q3.E"));
  CHECK(shown("C-3") == machine().long_name_of(*machine().find_pin("C.3")));
}

TEST_CASE("nets and rails by name and by volts") {
  CHECK(shown("A5") == "net A5");
  CHECK(shown("net A5") == "net A5");
  CHECK(shown("A5 net") == "net A5");
  CHECK(shown("+5V") == "net +5V");
  CHECK(shown("5V") == "net +5V");
  CHECK(shown("+5v rail") == "net +5V");
  CHECK(shown("-5V") == "net -5V");
  CHECK(shown("ground") == "net GND");
  CHECK(shown("net D5") == "net D5");
}

TEST_CASE("parts functions and the whole machine") {
  CHECK(shown("R7") == "R7");
  CHECK(shown("part D5") == "D5");
  CHECK(shown("C-12") == "C12");
  CHECK(shown("across R7") == "R7");
  CHECK(shown("picture") == "picture");
  CHECK(shown("key A") == "key-a");
  CHECK(shown("function sound") == "sound");
  CHECK(parse_point("machine", machine())->at == Point::At::machine);
}

TEST_CASE("pairs of legs and of nets") {
  for (const char* typed : {"J3.1-J4.2", "J3.1 - J4.2", "J3.1 to J4.2", "between J3.1 and J4.2", "across J3.1 and J4.2"}) {
    CAPTURE(typed);
    const auto point = parse_point(typed, machine());
    REQUIRE(point.ok());
    CHECK(point->at == Point::At::pair);
    CHECK(machine().name_of(point->pin) == "J3.1");
    CHECK(machine().name_of(point->other) == "J4.2");
  }
  const auto rails = parse_point("5V-GND", machine());
  REQUIRE(rails.ok());
  CHECK(rails->at == Point::At::pair);
  CHECK(machine().net(rails->net).name == "+5V");
  CHECK(machine().net(rails->other_net).name == "GND");
  const auto mixed = parse_point("U5.8-GND", machine());
  REQUIRE(mixed.ok());
  CHECK(machine().name_of(mixed->pin) == "U5.8");
  CHECK(machine().net(mixed->other_net).name == "GND");
  CHECK(shown("@U5 (pins 11 and 13)") == "U5.11 to U5.13");
  CHECK(shown("U5 pins 11 and 13") == "U5.11 to U5.13");
}

TEST_CASE("sides of a joint a socket and a plug") {
  const std::vector<std::pair<const char*, Side>> rows = {{"U5.8 pad", Side::pad}, {"pad of U5.8", Side::pad}, {"U5.8 (pad)", Side::pad}, {"U5.8 socket", Side::socket}, {"far end of R7.1", Side::far_end},
                                                          {"J3.1 plug", Side::plug}, {"J3.1 board side", Side::board}, {"U5 pin 8 leg", Side::leg}};
  for (const auto& [typed, side] : rows) {
    CAPTURE(typed);
    const auto point = parse_point(typed, machine());
    REQUIRE_MESSAGE(point.ok(), point.error().text());
    CHECK(point->at == Point::At::leg);
    CHECK(point->side == side);
  }
  CHECK(machine().net(parse_point("U5.8 pad", machine())->net).name == "A5");
  CHECK(shown("U5.8 pad") == machine().long_name_of(*machine().find_pin("U5.8")) + " pad");
}

TEST_CASE("names with two meanings are asked and unknown ones get a near one") {
  holds(refused("D5"), "part D5 or net D5");
  holds(refused("sound"), "net sound or function sound");
  holds(refused("U55.8"), "did you mean");
  holds(refused("U5.99"), "U5");
  holds(refused("pictre"), "picture");
  holds(refused("pin 40"), "which part");
  holds(refused("p12"), "which part");
  holds(refused("U5 pad"), "which pin");
  holds(refused("J3.1-J3.1"), "twice");
  holds(refused(""), "no point");
  CHECK(parse_point("U55.8", machine()).error().code == ErrorCode::not_found);
}

TEST_CASE("every pin of the machine is read back from its own name") {
  for (std::size_t i = 0; i < machine().pins().size(); ++i) {
    const board::PinId pin(i);
    const auto point = parse_point(machine().name_of(pin), machine());
    REQUIRE_MESSAGE(point.ok(), machine().name_of(pin));
    CHECK(point->pin == pin);
  }
}
