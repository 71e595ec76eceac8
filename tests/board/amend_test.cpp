#include "board/amendment.h"

#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::bell;
using sample::net_of;
using sample::organ;
using sample::says;

namespace {

std::vector<Amendment> lines(const std::string& text) {
  auto read = parse_amendments(text, "x.amend");
  REQUIRE_MESSAGE(read.ok(), (read.ok() ? "" : read.error().text()));
  return std::move(read).value();
}

std::shared_ptr<const Machine> amended(const SpecFiles& files, const std::string& text) {
  auto spec = amend(sample::spec(files), lines(text), *sample::library());
  REQUIRE_MESSAGE(spec.ok(), (spec.ok() ? "" : spec.error().text()));
  auto made = build(spec.value(), sample::library());
  REQUIRE_MESSAGE(made.ok(), (made.ok() ? "" : made.error().text()));
  return made.value();
}

Error refused(const SpecFiles& files, const std::string& text) {
  const auto spec = amend(sample::spec(files), lines(text), *sample::library());
  REQUIRE_FALSE(spec.ok());
  return spec.error();
}

std::string closed(const Machine& machine, const char* ref) {
  std::string out;
  for (const parts::Block& block : machine.part(machine.find_part(ref).value()).type->blocks)
    for (std::size_t i = 0; i < block.port("a").size(); ++i) out += block.word("closed").value_or("true") == "true" ? "1" : "0";
  return out;
}

}  // namespace

TEST_CASE("an amendment is a kind and its words") {
  const Amendment net = parse_amendment("net U7.4 = PH2  # the later revision").value();
  CHECK(net.kind == Amendment::Kind::net);
  CHECK(net.words == std::vector<std::string>{"U7.4", "PH2"});
  CHECK(net.typed == "net U7.4 = PH2");
  CHECK(net.origin == Amendment::Origin::drawing_was_wrong);
  CHECK(parse_amendment("net U7.4=A net").value().words == std::vector<std::string>{"U7.4", "A net"});
  CHECK(parse_amendment("net U7.4 RD#").value().words == std::vector<std::string>{"U7.4", "RD#"});
  const Amendment value = parse_amendment("  OURS Value R12 4.7 k").value();
  CHECK(value.origin == Amendment::Origin::ours);
  CHECK(value.words == std::vector<std::string>{"R12", "4.7 k"});
  CHECK(parse_amendment("found missing U8 U9").value().words.size() == 2);
  CHECK(parse_amendment("drawing cut U1.2").value().origin == Amendment::Origin::drawing_was_wrong);
}

TEST_CASE("a line that is no amendment is answered") {
  const std::pair<const char*, const char*> wrongs[] = {
      {"", "as in: missing U8"}, {"# only a comment", "as in: missing U8"}, {"mising U8", "did you mean missing?"}, {"solder U8", "one of: jumper"},
      {"jumper JP1", "jumper JP1 closed"}, {"wire U3.4", "wire U3.4 U7.2"}, {"cut a b c", "cut U3.4"}, {"ours", "one of:"}, {"add R1 1k", "add R90"}};
  for (const auto& [line, hint] : wrongs) {
    CAPTURE(std::string(line));
    const auto parsed = parse_amendment(line);
    REQUIRE_FALSE(parsed.ok());
    CHECK(parsed.error().code == ErrorCode::usage);
    CHECK_MESSAGE(says(parsed.error().hint, hint), parsed.error().text());
  }
}

TEST_CASE("lines know their place and comments are skipped") {
  const auto read = lines("# why\n\nmissing U8\n  net U7.4 = PH2\r\n");
  REQUIRE(read.size() == 2);
  CHECK(read[1].place == Place{"x.amend", 4, 3});
  CHECK(read[1].words[1] == "PH2");
  const auto wrong = parse_amendments("missing U8\nbad\nworse\n", "x.amend");
  REQUIRE_FALSE(wrong.ok());
  CHECK(wrong.error().place == Place{"x.amend", 2, 1});
  CHECK(says(wrong.error().message, "worse"));
}

TEST_CASE("a jumper is closed and opened") {
  CHECK(closed(*sample::machine(bell()), "JP1") == "0");
  const auto machine = amended(bell(), "jumper JP1 closed");
  CHECK(closed(*machine, "JP1") == "1");
  CHECK(machine->part(machine->find_part("JP1").value()).type->id == "jumper-closed");
  CHECK(closed(*amended(bell(), "jumper JP1 closed\njumper jp1 open"), "JP1") == "0");
  CHECK(closed(*amended(bell(), "jumper JP1 1-2"), "JP1") == "1");
}

TEST_CASE("one pair of a three way jumper opens the other") {
  auto files = sample::changed(bell(), "parts.toml", "JP1 = \"jumper-open\"", "JP1 = \"jumper-3-12\"");
  CHECK(closed(*amended(files, "jumper JP1 2-3"), "JP1") == "01");
  CHECK(closed(*amended(files, "jumper JP1 3-2"), "JP1") == "01");
  CHECK(closed(*amended(files, "jumper JP1 open"), "JP1") == "00");
  CHECK(closed(*amended(files, "jumper JP1 closed"), "JP1") == "10");  // one cap joins one pair: as drawn
  CHECK(says(refused(files, "jumper JP1 open\njumper JP1 closed").hint, "1-2, 2-3"));
  const Error error = refused(files, "jumper JP1 1-3");
  CHECK(says(error.hint, "1-2, 2-3"));
  CHECK(error.place == Place{"x.amend", 1, 1});
}

TEST_CASE("one switch of a block is closed and the others stay") {
  auto files = sample::changed(bell(), "parts.toml", "JP1 = \"jumper-open\"", "JP1 = \"dip-switch/8\"");
  const std::string before = closed(*sample::machine(files), "JP1");
  REQUIRE(before.size() == 4);
  const auto machine = amended(files, "jumper JP1 open\njumper JP1 2-7");
  CHECK(closed(*machine, "JP1") == "0100");
  CHECK(net_of(*machine, "JP1.1") == "/sheet/CK2");
  CHECK(closed(*amended(files, "jumper JP1 open\njumper JP1 2-7\njumper JP1 4-5"), "JP1") == "0101");
}

TEST_CASE("only parts with contacts have them set") {
  const Error error = refused(bell(), "jumper R1 closed");
  CHECK(says(error.message, "R1"));
  CHECK(says(error.message, "no contacts to set"));
}

TEST_CASE("a missing part is not fitted") {
  const auto machine = amended(bell(), "missing U2 C1 ear");
  CHECK_FALSE(machine->part(machine->find_part("U2").value()).fitted);
  CHECK_FALSE(machine->part(machine->find_part("C1").value()).fitted);
  CHECK_FALSE(machine->part(machine->find_part("ear").value()).fitted);
  CHECK(machine->part(machine->find_part("U1").value()).fitted);
}

TEST_CASE("a pin is moved to the net that is named") {
  const auto machine = amended(bell(), "net U2.2 = CK2");
  CHECK(net_of(*machine, "U2.2") == "/sheet/CK2");
  CHECK(net_of(*machine, "U1.2") == "/sheet/NCLK");
  CHECK(net_of(*amended(bell(), "net U2.1A0 = /WR"), "U2.2") == "~{WR}");   // by trade name
  CHECK(net_of(*amended(bell(), "net U2.13 = KEY"), "U2.13") == "KEY");     // from no net
  CHECK(net_of(*amended(bell(), "net U2.2 = /sheet/NCLK"), "U2.2") == "/sheet/NCLK");
  const Error error = refused(bell(), "net U2.2 = CK3");
  CHECK(error.code == ErrorCode::not_found);
  CHECK(says(error.hint, "CK2"));
  CHECK(says(error.message, "in \"net U2.2 = CK3\""));
}

TEST_CASE("a wire joins two nets and can fail") {
  const auto machine = amended(bell(), "wire U1.4 U2.18");
  const PartId wire = machine->find_part("W1").value();
  CHECK(machine->part(wire).type->id == "wire");
  CHECK(net_of(*machine, "W1.1") == "/sheet/CK2");
  CHECK(net_of(*machine, "W1.2") == "BELL");
  const auto second = amended(bell(), "wire U1.4 U2.18\nwire U2.13 +5V");
  CHECK(net_of(*second, "W2.1") == "wire at U2.13");
  CHECK(net_of(*second, "U2.13") == "wire at U2.13");
  CHECK(net_of(*second, "W2.2") == "+5V");
}

TEST_CASE("a wire may lead to another unit and keeps clear of cable names") {
  const auto machine = amended(organ("a = \"scan/J3\"\nb = \"kbd/J1\"\ncable = \"W1\"\n"), "wire scan/U1.4 SW1.1");
  CHECK(net_of(*machine, "W2.1") == "wire at U1.4");
  CHECK(net_of(*machine, "W2.2") == "K");
}

TEST_CASE("a cut leaves the pin alone") {
  const auto machine = amended(bell(), "cut U2.2");
  CHECK(net_of(*machine, "U2.2") == "cut at U2.2");
  CHECK(net_of(*machine, "U1.3") == "/sheet/NCLK");
  CHECK(net_of(*amended(bell(), "cut U1.2 U2.2"), "U1.2") == "cut at U1.2");
  CHECK(says(refused(bell(), "cut U1.2 U2.18").message, "are not on one net"));
  CHECK(says(refused(bell(), "cut U2.13").message, "connected to nothing"));
  CHECK(says(refused(bell(), "cut U2.2 U2.2").message, "both ends"));
}

TEST_CASE("a lifted pin is on no net") {
  CHECK(net_of(*amended(bell(), "lift U2.1A0"), "U2.2") == "");
  CHECK(net_of(*amended(bell(), "lift J1.4 J1.3"), "J1.4") == "");
  CHECK(says(refused(bell(), "lift U2.13").message, "can't be lifted"));
}

TEST_CASE("a pin of a bare header stays when it is lifted") {
  const auto files = sample::changed(bell(), "parts.toml", "J1 = { type = \"header\", pins = \"1..4\" }", "J1 = \"header\"");
  const auto machine = amended(files, "lift J1.4");
  CHECK(machine->part(machine->find_part("J1").value()).pin_count == 4);
}

TEST_CASE("a part is added by its value or its type") {
  const auto machine = amended(bell(), "add R90 470R U1.4 U2.18");
  const Part& part = machine->part(machine->find_part("R90").value());
  CHECK(part.type->id == "resistor");
  CHECK(part.value_si == 470);
  CHECK(net_of(*machine, "R90.1") == "/sheet/CK2");
  CHECK(net_of(*machine, "R90.2") == "BELL");
  CHECK(net_of(*amended(bell(), "add R90 resistor 4.7 k U1.2Y /sheet/NCLK"), "R90.1") == "/sheet/CK2");
  const auto free = amended(bell(), "add U9 74244 HCT GND - - - - - - - - GND - - - - - - - - - +5V");
  CHECK(free->part(free->find_part("U9").value()).family->id == "HCT");
  CHECK(net_of(*free, "U9.20") == "+5V");
  CHECK(net_of(*free, "U9.2") == "");
}

TEST_CASE("an addition that does not fit is refused") {
  CHECK(says(refused(bell(), "add R1 470R U1.4 U2.18").message, "R1 already"));
  CHECK(says(refused(bell(), "add R90 470R U1.4 U2.99").message, "U2 has no pin \"99\""));
  CHECK(says(refused(bell(), "add R90 resistor U1.4 U2.18 GND").message, "2 pins, 3 are connected"));
  CHECK(says(refused(bell(), "add Z90 gadget U1.4 U2.18 GND").message, "no part type with 3 pins"));
  CHECK(says(refused(bell(), "add R90 470R here").message, "connected to nothing"));
  CHECK(says(refused(bell(), "add R.9 470R U1.4 GND").message, "can't be a reference"));
}

TEST_CASE("a value is changed") {
  CHECK(amended(bell(), "value R1 1k")->part(PartId(2)).value_si == 1000);
}

TEST_CASE("another type on the same pins is fitted") {
  const auto by_print = amended(bell(), "fit U1 74hct04");
  const Part& part = by_print->part(by_print->find_part("U1").value());
  CHECK(part.type->id == "7404");
  CHECK(part.family->id == "HCT");
  CHECK(net_of(*by_print, "U1.2") == "/sheet/NCLK");
  const auto by_type = amended(bell(), "missing U1\nfit U1 7414 LS");
  CHECK(by_type->part(by_type->find_part("U1").value()).type->id == "7414");
  CHECK(by_type->part(by_type->find_part("U1").value()).fitted);
  const Error error = refused(bell(), "fit U2 7404");
  CHECK(says(error.message, "no pin"));
}

TEST_CASE("nothing is changed when a line is wrong") {
  const MachineSpec spec = sample::spec(bell());
  CHECK_FALSE(amend(spec, lines("missing U2\nmissing U9"), *sample::library()).ok());
  CHECK(same(spec, sample::spec(bell())));
  CHECK(refused(bell(), "missing U2\nmissing U9").place.line == 2);
}

TEST_CASE("kept corrections come first and then default answers and then the job's") {
  auto files = sample::changed(bell(), "machine.toml", "revision = \"A\"", "amendments = [\"value R1 1k\"]");
  files["machine.toml"] += "[[question]]\nid = \"q\"\ntext = \"?\"\n[[question.answer]]\nword = \"two\"\namend = [\"value R1 2k\", \"jumper JP1 closed\"]\n";
  const auto plain = sample::machine(files);
  CHECK(plain->part(plain->find_part("R1").value()).value == "2k");
  CHECK(closed(*plain, "JP1") == "1");
  const auto later = amended(files, "jumper JP1 open");
  CHECK(later->part(later->find_part("R1").value()).value == "2k");
  CHECK(closed(*later, "JP1") == "0");
  const auto once = amend(sample::spec(files), {}, *sample::library());
  const auto twice = amend(once.value(), lines("value R1 3k"), *sample::library());
  CHECK(build(twice.value(), sample::library()).value()->part(PartId(2)).value == "3k");
}

TEST_CASE("a wrong line in a question's answer is told at the question") {
  auto files = bell();
  files["machine.toml"] += "[[question]]\nid = \"q\"\ntext = \"?\"\n[[question.answer]]\nword = \"no\"\n[[question.answer]]\nword = \"yes\"\namend = [\"jumpr JP1 closed\"]\n";
  const Error error = sample::error_of(files);
  CHECK(says(error.hint, "jumper"));
  CHECK(error.place.file == "machine.toml");
}

TEST_CASE("amendments change the hash and the same ones give the same machine") {
  const auto plain = sample::machine(bell())->hash();
  for (const char* line : {"jumper JP1 closed", "missing U2", "net U2.2 = CK2", "wire U1.4 U2.18", "cut U2.2", "lift U2.2", "add R90 470R U1.4 GND", "value R1 1k", "fit U1 7414"}) {
    CAPTURE(std::string(line));
    CHECK(amended(bell(), line)->hash() != plain);
    CHECK(amended(bell(), line)->hash() == amended(bell(), line)->hash());
  }
}
