// Whole readings: point and value in either order, several at once, and what is refused because it can't be.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "bench_machine.h"
#include "observe/chip_round.h"
#include "observe/parse.h"

using namespace halfsplit;
using namespace halfsplit::observe;
using bench::machine;

namespace {

const board::Setup kComplete;
board::Setup state(const char* words) {
  const auto read = parse_state(words, machine(), kComplete);
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  return *read;
}

/// "U5.8 (1A3): DC volts 4.31 V; ..." of all observations.
std::string shown(const char* typed, const board::Setup& now = kComplete) {
  const auto read = parse_reading(typed, machine(), now);
  if (!read) return "refused: " + read.error().text();
  std::string out;
  for (const Observation& one : *read)
    out += (out.empty() ? "" : "; ") + describe(one.point, machine()) + ": " + name_of(one.kind) + " " + describe(one.value, machine());
  return out;
}

std::string refused(const char* typed, const board::Setup& now = kComplete) {
  const auto read = parse_reading(typed, machine(), now);
  if (read) return "accepted: " + shown(typed, now);
  CHECK_FALSE(read.error().hint.empty());
  return read.error().message + " | " + read.error().hint;
}

void holds(const std::string& text, const char* part) {
  INFO(text);
  CHECK(text.find(part) != std::string::npos);
}

const std::string kPin8 = "U5.8 (1A3): ";

}  // namespace

TEST_CASE("point first and value first mean the same") {
  for (const char* typed : {"U5.8 4.31V", "U5.8 4.31 V", "U5 pin 8 4.31V", "U5.8: 4.31V", "U5.8 = 4.31V", "U5.8 is 4.31V", "4.31V at U5.8", "4.31V on U5 pin 8", "4.31 V U5.8", "IC5.8 4.31V"}) {
    if (std::string(typed) == "IC5.8 4.31V") {
      holds(refused(typed), "IC5");
      continue;
    }
    CAPTURE(typed);
    CHECK(shown(typed) == kPin8 + "DC volts 4.31 V");
  }
}

TEST_CASE("kinds of reading at kinds of point") {
  CHECK(shown("U5.8 pulsing") == kPin8 + "probe pulsing");
  CHECK(shown("U5 pin 8 P") == kPin8 + "probe pulsing");
  CHECK(shown("U5.8 dead") == kPin8 + "probe floating");
  CHECK(shown("U5.8 0") == kPin8 + "probe low");
  CHECK(shown("U5.8 weak") == kPin8 + "probe middle");
  CHECK(shown("R7 220R") == "R7: ohms 220 ohm (taken as power off)");
  CHECK(shown("5V-GND 284 ohms") == "+5V to GND: ohms 284 ohm (taken as power off)");
  CHECK(shown("J3.1-J4.2 beep") == "J3.1 to J4.2: continuity beep (taken as power off)");
  CHECK(shown("C12 bulging") == "C12: look bad (bulging)");
  CHECK(shown("U4 hot") == "U4: touch hot");
  CHECK(shown("U4 failed") == "U4: part test bad");
  CHECK(shown("U4 piggyback no change") == "U4: piggyback good (no change)");
  CHECK(shown("picture works") == "picture: function right");
  CHECK(shown("picture weak") == "picture: function weak");
  CHECK(shown("picture garbled at the bottom") == "picture: function wrong (garbled, at the bottom)");
  CHECK(shown("runs dead") == "runs: function dead");
  CHECK(shown("key a dead") == "key-a: function dead");
  CHECK(shown("runs 15359") == "runs: count 15359");
  CHECK(shown("machine 650mA") == "machine: current 650 mA");
  CHECK(shown("X1 3.58MHz") == "X1.8 (OUT): frequency 3.58 MHz");
  CHECK(shown("U7 wanted 0f got 0b") == "U7: content wanted 0F got 0B");
}

TEST_CASE("what owners say of functions and transistors and currents") {
  CHECK(shown("no picture") == "picture: function dead");
  CHECK(shown("picture no colour") == "picture: function wrong (no colour)");
  CHECK(shown("key-a works sometimes") == "key-a: function intermittent (works sometimes)");
  CHECK(shown("picture dead sometimes") == "picture: function intermittent (dead)");
  CHECK(shown("C12 has leaked") == "C12: look bad (leaked)");
  CHECK(shown("Q3 B-E 0.6V diode") == "Q3.B to Q3.E: diode 600 mV (taken as power off)");
  CHECK(shown("Q3.B-Q3.E OL diode") == "Q3.B to Q3.E: diode OL (taken as power off)");
  CHECK(shown("A0 A1 A2 pulsing") == shown("A0..A2 pulsing"));
  CHECK(shown("current 650mA") == "machine: current 650 mA");
  CHECK(shown("U5.8 3.58 MHz square wave") == kPin8 + "frequency 3.58 MHz (square wave)");
  holds(refused("smoke"), "machine smoke");
}

TEST_CASE("the value decides between the meanings of a name") {
  CHECK(shown("sound distorted") == "sound: function wrong (distorted)");
  CHECK(shown("sound 2.4V") == "net SOUND: DC volts 2.4 V");
  CHECK(shown("D5 pulsing") == "net D5: probe pulsing");
  CHECK(shown("D5 cracked") == "refused: 'D5' has two meanings on this machine: part D5 and net D5 (put part, net or function before it)");
  CHECK(shown("part D5 cracked") == "D5: look bad (cracked)");
}

TEST_CASE("rails named by their volts") {
  CHECK(shown("5V 4.9V") == "net +5V: DC volts 4.9 V");
  CHECK(shown("+5v is 4.2V") == "net +5V: DC volts 4.2 V");
  CHECK(shown("+5v 4.9v, -5v -5.1v") == "net +5V: DC volts 4.9 V; net -5V: DC volts -5.1 V");
  CHECK(shown("-5V -5.06V") == "net -5V: DC volts -5.06 V");
  CHECK(shown("+5V 4.2V, 5V expected") == "net +5V: DC volts 4.2 V (expected 5 V)");
  CHECK(shown("+5V 650mA") == "net +5V: current 650 mA");
}

TEST_CASE("several readings on one line") {
  CHECK(shown("U5.8 low, U5.2 high") == "U5.8 (1A3): probe low; U5.2 (1A0): probe high");
  CHECK(shown("picture wrong, dark; sound ok") == "picture: function wrong (dark); sound: function right");
  CHECK(shown("A0..A2 pulsing") == "net A0: probe pulsing; net A1: probe pulsing; net A2: probe pulsing");
  CHECK(shown("A0-A2 pulsing") == "net A0: probe pulsing; net A1: probe pulsing; net A2: probe pulsing");
  CHECK(shown("A0, A1 and A5 low") == "net A0: probe low; net A1: probe low; net A5: probe low");
  CHECK(shown("U5.2, 4, 6 low") == "U5.2 (1A0): probe low; U5.4 (1A1): probe low; U5.6 (1A2): probe low");
  CHECK(shown("U5 pins 11 and 13 low") == "U5.11 (2A0): probe low; U5.13 (2A1): probe low");
  CHECK(shown("U5 pins 2-4 high") == "U5.2 (1A0): probe high; U5.3 (2Y3): probe high; U5.4 (1A1): probe high");
  CHECK(shown("U5 pins 11 and 13 4k7") == "U5.11 to U5.13: ohms 4.7 kohm (taken as power off)");
}

TEST_CASE("round the chip from pin 1 on") {
  const auto read = parse_reading("U7 L P P P H - G", machine(), kComplete);
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  REQUIRE(read->size() == 6);
  CHECK((*read)[0].value.word == Word::low);
  CHECK((*read)[4].value.word == Word::high);
  CHECK(machine().name_of((*read)[5].point.pin) == "U7.7");
  CHECK((*read)[5].value.word == Word::low);
  CHECK(parse_reading("U7 LPPPH-GPPPPPPV", machine(), kComplete)->size() == 13);
  CHECK(parse_reading("U7 l p f", machine(), kComplete)->size() == 3);
  holds(refused("U7 L P P P H P P G"), "out of step");
  holds(refused("U7 L L L L L L G L L L L L L V L"), "14 pins");
  holds(refused("U7 1 0"), "pin 1 or the levels");
  CHECK(shown("U7.1 0") == "U7.1 (1A): probe low");
  const auto triggered = parse_reading("U7 L P N - H in cycle read U5", machine(), kComplete);
  REQUIRE_MESSAGE(triggered.ok(), triggered.error().text());
  REQUIRE(triggered->size() == 4);
  CHECK((*triggered)[0].kind == Kind::triggered);
  CHECK((*triggered)[0].cycle == "read U5");
  CHECK((*triggered)[2].value.word == Word::absent);
  holds(refused("U7 L P N"), "which bus cycle");
  CHECK(shown("U7.1 no trigger in cycle fetch") == "U7.1 (1A): triggered no trigger");
}

TEST_CASE("the marks of a walk read back as the same levels") {
  const auto part = machine().find_part("U7").value();
  std::vector<std::pair<board::PinId, std::optional<Word>>> seen;
  for (const auto& [pin, word] : {std::pair("U7.2", Word::pulsing), std::pair("U7.1", Word::high), std::pair("U7.5", Word::floating)}) seen.emplace_back(machine().find_pin(pin).value(), word);
  seen.emplace_back(machine().find_pin("U7.4").value(), std::nullopt);
  const std::string marks = round_marks(part, seen, machine());
  CHECK(marks == "H P - ? F");
  const auto read = parse_reading("U7 " + marks, machine(), kComplete);
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  REQUIRE(read->size() == 3);
  CHECK((*read)[1].point.pin == machine().find_pin("U7.2").value());
  CHECK((*read)[2].value.word == Word::floating);
}

TEST_CASE("circumstance share and certainty go into the observation") {
  const auto read = parse_reading("U5.8 low 3/10 starts when cold", machine(), kComplete);
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  CHECK((*read)[0].share == Share{3, 10});
  CHECK((*read)[0].condition == "when cold");
  CHECK((*read)[0].typed == "U5.8 low 3/10 starts when cold");
  CHECK((*parse_reading("picture dead after 15min", machine(), kComplete))[0].condition == "after 15min");
  CHECK((*parse_reading("U5.8 low pressed at U7", machine(), kComplete))[0].condition == "pressed at U7");
  CHECK((*parse_reading("U5.8 4.31V checked twice", machine(), kComplete))[0].sure);
  const auto triggered = parse_reading("U5.8 low in cycle read U12 #2, sure", machine(), kComplete);
  REQUIRE_MESSAGE(triggered.ok(), triggered.error().text());
  CHECK((*triggered)[0].kind == Kind::triggered);
  CHECK((*triggered)[0].cycle == "read U12 #2");
  CHECK((*triggered)[0].sure);
  CHECK((*parse_reading("U5.8 low during the memory write cycle", machine(), kComplete))[0].cycle == "memory write");
  holds(refused("picture dead 11/10 starts"), "11/10");
}

TEST_CASE("comparisons name another point") {
  const auto read = parse_reading("U5.8 weaker than U38.11", machine(), kComplete);
  REQUIRE_MESSAGE(read.ok(), read.error().text());
  REQUIRE((*read)[0].value.relative.has_value());
  CHECK(machine().name_of((*read)[0].value.relative->other->pin) == "U38.11");
  CHECK(describe((*read)[0].value, machine()) == "weaker than U38.11 (4Y)");
  CHECK((*parse_reading("U4 hotter than U7", machine(), kComplete))[0].kind == Kind::touch);
  CHECK((*parse_reading("sound quieter than good", machine(), kComplete))[0].kind == Kind::function);
  CHECK((*parse_reading("U5.8 half of U38.11", machine(), kComplete))[0].value.relative->how == Relative::How::half);
  holds(refused("U5.8 weaker than U99.1"), "U99.1");
}

TEST_CASE("the bench state is attached and the power must fit") {
  const board::Setup off = state("power-off"), pulled = state("U4-out");
  CHECK((*parse_reading("U5.8 low", machine(), pulled))[0].setup == pulled);
  const auto ohms = parse_reading("R7 220R", machine(), pulled);
  REQUIRE(ohms.ok());
  CHECK((*ohms)[0].setup == pulled.with(board::Action{.kind = board::Action::Kind::power_off}));
  CHECK((*parse_reading("R7 220R", machine(), off))[0].setup == off);
  CHECK((*parse_reading("R7 220R", machine(), off))[0].value.note.empty());
  holds(refused("U5.8 4.31V", off), "power-on");
  holds(refused("U5.8 pulsing", off), "power off");
  holds(refused("picture works", off), "power-on");
  CHECK(shown("C12 bulging", off) == "C12: look bad (bulging)");
  CHECK(shown("T1 320V", off) == "T1: DC volts 320 V");
}

TEST_CASE("what can't be there is refused with what was understood") {
  holds(refused("U5.8 900000V"), "can't be at");
  holds(refused("U5.8 900000V"), "A5");
  CHECK(shown("T1 240V AC") == "T1: AC volts 240 V");
  holds(refused("sound 4.31V 3/0"), "share");
  holds(refused("picture 4.31V"), "DC volts");
  holds(refused("picture 4.31V"), "works");
  holds(refused("U5 220R"), "between which pins");
  holds(refused("U5 4.31V"), "which pin of U5");
  holds(refused("U5 pulsing"), "U5.1");
  holds(refused("U5.8 beep"), "two ends");
  holds(refused("U5.8 hot"), "hot");
  holds(refused("R7 -220R"), "can't be at");
  holds(refused("U4 no change"), "after what");
  holds(refused("U4 dead"), "how do you know");
  holds(refused("-5V missing"), "net -5V");
  holds(refused("runs 3/10"), "a share, but of what");
}

TEST_CASE("half a reading says which half is missing") {
  holds(refused("U5.8"), "value is missing");
  holds(refused("4.31V"), "read where");
  holds(refused("U5.8 4.31"), "of what");
  holds(refused("U5.8 pulsnig"), "pulsing");
  holds(refused("U55.8 4.31V"), "4.31 V understood as the value");
  holds(refused("U55.8 4.31V"), "did you mean");
  holds(refused("U5.8 4.31V U5.2 high"), "but not");
  holds(refused("glorp"), "glorp");
  holds(refused(""), "no reading");
  CHECK(parse_reading("U55.8 4.31V", machine(), kComplete).error().code == ErrorCode::not_found);
}

TEST_CASE("hostile lines are refused quickly") {
  CHECK_FALSE(parse_reading(std::string(100000, 'a'), machine(), kComplete).ok());
  CHECK_FALSE(parse_reading(std::string("U5.8 \0 low", 10), machine(), kComplete).ok());
  std::string commas;
  for (int i = 0; i < 300; ++i) commas += "U5.8, ";
  CHECK_FALSE(parse_reading(commas, machine(), kComplete).ok());
  CHECK_FALSE(parse_reading(std::string(900, '-'), machine(), kComplete).ok());
  std::string pairs;
  for (int i = 0; i < 180; ++i) pairs += "U5.8-U7.1-";
  CHECK_FALSE(parse_reading(pairs, machine(), kComplete).ok());
}

TEST_CASE("a reading that the bench state rules out is asked about") {
  const board::Setup out = parse_state("U4-out", machine(), {}).value();
  const auto leg = parse_reading("U4.3 low", machine(), out);
  REQUIRE_FALSE(leg.ok());
  CHECK(leg.error().message.find("U4 out") != std::string::npos);
  CHECK(leg.error().hint.find("U4.3 socket") != std::string::npos);
  CHECK(parse_reading("U4.3 socket low", machine(), out).ok());
  CHECK(parse_reading("U7.1 low", machine(), out).ok());
  CHECK(parse_reading("U4.3-U4.7 220R", machine(), out).ok());
}
