#include "support.h"

using namespace halfsplit;
using namespace halfsplit::parts;

namespace {

const std::string kHead = "format = 1\nid = \"X1\"\ntitle = \"trial\"\nclass = \"logic\"\n";

const PartType& good(const std::string& body) {
  const auto type = type_from(kHead + body);
  REQUIRE_MESSAGE(type.ok(), type.error().text());
  return **type;
}

/// The one error of a body; its text is "t.toml:line:column: message (hint)".
std::string wrong(const std::string& body) {
  const auto type = type_from(kHead + body);
  REQUIRE(!type.ok());
  return type.error().text();
}

bool says(const std::string& text, const std::string& part) {
  const bool found = text.find(part) != std::string::npos;
  if (!found) MESSAGE(text << " lacks: " << part);
  return found;
}

const std::string kPins = "pins = [\"1 A in\", \"2 B in\", \"3 /Y out\", \"4 /OE in\", \"5 D0 io\", \"6 GND ground\", \"7 VCC supply +5V\"]\n";  // line 5

}  // namespace

TEST_CASE("pins carry number name role and rail") {
  const PartType& type = good("pins = [\"1 /OE in\", \"A12 Q+ open-collector\", \"3 VBB supply -5V\", \"4 VDD supply 3.3V\", \"5 NC nc\", \"6 NC nc\"]\n");
  REQUIRE(type.pins.size() == 6);
  CHECK(type.pins[0].active_low);
  CHECK(type.pins[0].name == "OE");
  CHECK(type.pins[0].shown() == "/OE");
  CHECK(type.pins[1].number == "A12");
  CHECK(type.pins[1].name == "Q+");
  CHECK(type.pins[1].role == PinRole::open_collector);
  CHECK(type.pins[2].rail_v == -5);
  CHECK(type.pins[3].rail_v == doctest::Approx(3.3));
  CHECK(*type.pin_by_name("/OE") == 0);
  CHECK(*type.pin_by_name("OE") == 0);
  CHECK(*type.pin_by_number("A12") == 1);
  CHECK(!type.pin_by_number("2"));
}

TEST_CASE("blocks become ports and terms in file order") {
  const PartType& type = good(kPins + "[[gate]]\nout = \"Y\"\nis = \"A & B\"\nwhen = \"!OE\"\ndrive = \"open-collector\"\n[[contact]]\na = \"A\"\nb = [\"B\", \"D0\"]\n[[gate]]\nout = \"D0\"\nis = \"A\"\n");
  REQUIRE(type.blocks.size() == 3);
  const Block& gate = type.blocks[0];
  CHECK(gate.kind == Template::gate);
  CHECK(gate.port("out") == std::vector<std::uint16_t>{2});
  CHECK(gate.term("is").size() == 1);
  CHECK(gate.term("when")[0].is_literal());
  CHECK(*gate.word("drive") == "open-collector");
  CHECK(gate.port("qn").empty());
  CHECK(!gate.word("rest"));
  CHECK(type.blocks[1].port("a") == std::vector<std::uint16_t>{0, 0});
  CHECK(type.blocks[1].port("b") == std::vector<std::uint16_t>{1, 4});
  CHECK(type.blocks[2].kind == Template::gate);
}

TEST_CASE("a processor has cycles with control levels") {
  const PartType& type = good(
      "pins = [\"1 PHI clock\", \"2 RW out\", \"3 A0 out\", \"4 A1 out\", \"5 D0 io\", \"6 /RES in\"]\n"
      "[[processor]]\nclock = \"PHI\"\nreset = \"!RES\"\naddress = \"A{0..1}\"\ndata = \"D0\"\n"
      "[[processor.cycle]]\nname = \"read\"\nspace = \"memory\"\ndirection = \"read\"\nsetup = \"RW=1\"\nactive = \"RW=1\"\naddress = \"A0\"\nphase-clock = \"PHI\"\n"
      "[[processor.cycle]]\nname = \"write\"\nspace = \"memory\"\ndirection = \"write\"\nactive = \"RW=0\"\n");
  REQUIRE(type.blocks.size() == 1);
  REQUIRE(type.blocks[0].cycles.size() == 2);
  const BusCycle& read = type.blocks[0].cycles[0];
  CHECK(read.name == "read");
  CHECK(read.direction == BusCycle::Direction::read);
  CHECK(read.active == std::vector<std::pair<std::uint16_t, bool>>{{1, true}});
  CHECK(read.address == std::vector<std::uint16_t>{2});
  CHECK(*read.phase_clock == 0);
  CHECK(type.blocks[0].cycles[1].active == std::vector<std::pair<std::uint16_t, bool>>{{1, false}});
}

TEST_CASE("wrong pins are told at the character") {
  CHECK(says(wrong("pins = [\"1 A inn\"]\n"), "t.toml:5:14: no role inn (did you mean in?)"));
  CHECK(says(wrong("pins = [\"1 A\"]\n"), "t.toml:5:12: a pin needs number, name and role"));
  CHECK(says(wrong("pins = [\"1 ~A in\"]\n"), "t.toml:5:12"));
  CHECK(says(wrong("pins = [\"1 A*B in\"]\n"), "t.toml:5:13"));
  CHECK(says(wrong("pins = [\"1 A in\", \"1 B in\"]\n"), "t.toml:5:20: pin number 1 is there twice"));
  CHECK(says(wrong("pins = [\"1 A in\", \"2 A in\"]\n"), "t.toml:5:22: pin name A is there twice"));
  CHECK(says(wrong("pins = [\"1 A in +5V\"]\n"), "only a supply pin names its rail"));
  CHECK(says(wrong("pins = [\"1 A supply five\"]\n"), "t.toml:5:21: a rail is written +5V or -12V"));
  CHECK(says(wrong("pins = [1]\n"), "a pin is a text"));
  CHECK(says(wrong("pins = \"many\"\n"), "numbered"));
  CHECK(says(wrong(""), "pins are missing"));
}

TEST_CASE("wrong blocks are told at the character") {
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"Y\"\nis = \"A & C\"\n"), "t.toml:8:11: no pin is named C"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"YY\"\nis = \"A\"\n"), "t.toml:7:8: no pin is named YY (did you mean Y?)"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"/Y\"\nis = \"A\"\n"), "without their slash"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"A\"\nis = \"B\"\n"), "pin A can't drive: its role is in"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"Y\"\n"), "gate needs the key is"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = [\"Y\", \"D0\"]\nis = \"A\"\n"), "t.toml:8:6: is has 1 entries, out has 2"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"Y\"\nis = \"A\"\nwenn = \"B\"\n"), "known here: out, is, when, drive"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"Y\"\nis = \"A\"\ndrive = \"strong\"\n"), "one of: push-pull open-collector open-emitter"));
  CHECK(says(wrong(kPins + "[[gates]]\nout = \"Y\"\nis = \"A\"\n"), "did you mean"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"Y\"\nis = \"A &\"\n"), "t.toml:8:10"));
  CHECK(says(wrong(kPins + "[[gate]]\nout = \"Y{0..\"\nis = \"A\"\n"), "t.toml:7:9: a brace without its other half"));
  CHECK(says(wrong(kPins + "[[contact]]\na = [\"A\", \"B\"]\nb = [\"Y\", \"D0\", \"OE\"]\n"), "the two ends are not equally many"));
  CHECK(says(wrong(kPins + "[[memory]]\nkind = \"rom\"\naddress = \"A\"\nselect = \"1\"\nread = \"1\"\n"), "a memory needs data"));
  CHECK(says(wrong(kPins + "[[memory]]\nkind = \"dram\"\naddress = \"A\"\ndata = \"D0\"\nselect = \"1\"\nread = \"1\"\nwrite = \"B\"\n"), "a dram needs row and column"));
}

TEST_CASE("the character inside an expanded expression is found in the pattern") {
  CHECK(says(wrong("pins = [\"1 1A in\", \"2 2A in\", \"3 1Y out\", \"4 2Y out\"]\n[[gate]]\nout = \"{1..2}Y\"\nis = \"!({1..2}A & {1..2}B)\"\n"), "t.toml:8:19: no pin is named 1B"));
}

TEST_CASE("vocabulary is checked with did you mean") {
  CHECK(says(type_from("format = 1\nid = \"X\"\ntitle = \"t\"\nclass = \"DRAMM\"\npins = []\n").error().text(), "t.toml:4:9: no failure rates are kept for class \"DRAMM\" (did you mean DRAM?)"));
  CHECK(says(wrong("technology = \"LSX\"\npins = []\n"), "it has: LS; standard"));
  CHECK(says(wrong("family = \"HCC\"\npins = []\n"), "did you mean HC"));
  CHECK(says(wrong("group = \"bufer\"\npins = []\n"), "buffer or driver"));
  CHECK(says(wrong("pin = []\npins = []\n"), "did you mean \"pins\""));
  CHECK(says(type_from("id = \"X\"\ntitle = \"t\"\nclass = \"logic\"\npins = []\n").error().text(), "format"));
}

TEST_CASE("up to twenty errors come at once") {
  std::string pins = "pins = [\n";
  for (int i = 0; i < 30; ++i) pins += "\"" + std::to_string(i) + " P" + std::to_string(i) + " wrong\",\n";
  const std::string text = wrong(pins + "]\n");
  CHECK(says(text, "t.toml:6:"));
  CHECK(says(text, "t.toml:25:"));
  CHECK(text.find("t.toml:26:") == std::string::npos);
}
