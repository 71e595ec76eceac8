#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::bell;
using sample::changed;
using sample::error_of;
using sample::says;

TEST_CASE("a machine of one unit is read in file order") {
  const MachineSpec spec = sample::spec(bell());
  CHECK(spec.id == "bell");
  CHECK(spec.maker == "Osprill");
  REQUIRE(spec.units.size() == 1);
  const UnitSpec& unit = spec.units[0];
  CHECK(unit.name.empty());
  CHECK(unit.grounds == std::vector<std::string>{"GND"});
  REQUIRE(unit.parts.size() == 7);
  CHECK(unit.parts[0].ref == "U1");
  CHECK(unit.parts[0].family == "LS");
  CHECK(unit.parts[1].ref == "U2");
  CHECK(unit.parts[1].socketed);
  CHECK(unit.parts[1].at->x_mm == 12.5);
  CHECK(unit.parts[1].at->y_mm == 40);
  CHECK(unit.parts[2].value == "4k7");
  CHECK(unit.parts[5].pin_numbers == std::vector<std::string>{"1", "2", "3", "4"});
  CHECK(unit.parts[6].ref == "C1");
  REQUIRE(unit.nets.size() == 9);
  CHECK(unit.nets[0].name == "GND");
  CHECK(unit.nets[1].name == "+5V");
  REQUIRE(unit.nets[1].pins.size() == 5);  // a list of texts is one net
  CHECK(unit.nets[1].pins[2].part == "R1");
  CHECK(unit.nets[8].name == "OUT");
  CHECK(unit.supplies[0].volts == 5);
  CHECK(unit.supplies[0].tolerance == 0.05);
  CHECK(unit.supplies[0].from == "PSU");
  CHECK(unit.sources[0] == std::pair<std::string, double>{"CLK", 0.5});
  CHECK(spec.surroundings[0].value == "9 V block");
  CHECK(spec.functions[1].held == "SW1");
}

TEST_CASE("every place is file and line and column") {
  const MachineSpec spec = parse_spec(bell(), "boards/bell").value();
  CHECK(spec.units[0].parts[2].place == Place{"boards/bell/parts.toml", 5, 1});
  const NetSpec& rail = spec.units[0].nets[1];
  CHECK(rail.place == Place{"boards/bell/nets.toml", 4, 1});
  CHECK(rail.pins[0].place == Place{"boards/bell/nets.toml", 4, 11});
  CHECK(rail.pins[1].place == Place{"boards/bell/nets.toml", 4, 17});
  CHECK(rail.pins[2].place == Place{"boards/bell/nets.toml", 4, 26});
}

TEST_CASE("columns inside a text count letters and not bytes") {
  auto files = bell();
  files["nets.toml"] += "\"\xc3\xbc\" = \"\xc3\xa4 U1.99\"\n";
  const Error error = error_of(files);
  CHECK(error.place == Place{"nets.toml", 12, 8});
  CHECK(says(error.message, "is no pin"));
}

TEST_CASE("units lie in folders of their own") {
  const MachineSpec spec = sample::spec(sample::organ());
  REQUIRE(spec.units.size() == 2);
  CHECK(spec.units[1].name == "kbd");
  CHECK(spec.units[1].nets[2].name == "ROW");
  CHECK(spec.mates[0].a == "scan/J3");
}

TEST_CASE("the only unit may have a name") {
  const MachineSpec spec = sample::spec(changed(bell(), "machine.toml", "revision = \"A\"", "unit = \"front\""));
  CHECK(spec.units[0].name == "front");
}

TEST_CASE("a mate's map is pairs or runs") {
  const MachineSpec spec = sample::spec(sample::organ("a = \"scan/J3\"\nb = \"kbd/J1\"\nmap = \"1..2=3..4 4=1\"\ncable = \"W1\"\n"));
  const std::vector<std::pair<std::string, std::string>> wanted{{"1", "3"}, {"2", "4"}, {"4", "1"}};
  CHECK(spec.mates[0].map == wanted);
  CHECK(spec.mates[0].cable == "W1");
}

TEST_CASE("pin places come from the layout file") {
  auto files = bell();
  files["layout.toml"] = "format = 1\n[pins]\nU1 = \"1@10,20 2@10,22.54 14@-1.5e1,20\"\n";
  const MachineSpec spec = sample::spec(files);
  REQUIRE(spec.units[0].parts[0].pin_at.size() == 3);
  CHECK(spec.units[0].parts[0].pin_at[1].first == "2");
  CHECK(spec.units[0].parts[0].pin_at[1].second.y_mm == 22.54);
  CHECK(spec.units[0].parts[0].pin_at[2].second.x_mm == -15);
}

TEST_CASE("questions and zones and kept corrections are read") {
  auto files = bell();
  files["machine.toml"] += R"([[question]]
id = "link"
text = "Is JP1 closed?"
[[question.answer]]
word = "open"
[[question.answer]]
word = "closed"
amend = ["jumper JP1 closed"]
[[zone]]
id = "block"
hazard = "mains"
caution = "Leave it shut."
open-when = "block-open"
parts = ["PSU"]
)";
  files = changed(files, "machine.toml", "revision = \"A\"", "amendments = [\"value R1 1k\"]");
  const MachineSpec spec = sample::spec(files);
  REQUIRE(spec.questions.size() == 1);
  CHECK(spec.questions[0].answers[1].amendments == std::vector<std::string>{"jumper JP1 closed"});
  CHECK(spec.zones[0].open_when == "block-open");
  CHECK(spec.amendments == std::vector<std::string>{"value R1 1k"});
  const auto machine = sample::machine(files);
  CHECK(machine->zones()[0].parts.size() == 1);
  CHECK(machine->questions()[0].answers.size() == 2);
  CHECK(machine->part(machine->find_part("R1").value()).value == "1k");
}

namespace {

struct Wrong {
  const char* file;
  const char* was;
  const char* now;
  Place place;
  const char* message;
  const char* hint;
};

}  // namespace

TEST_CASE("what is wrong is told with its place and a hint") {
  const Wrong wrongs[] = {
      {"machine.toml", "format = 1", "format = 2", {"machine.toml", 1, 10}, "format 2 is not known", "format = 1"},
      {"machine.toml", "id = \"bell\"", "id = \"a bell\"", {"machine.toml", 2, 6}, "an id is letters", ""},
      {"machine.toml", "maker", "makers", {"machine.toml", 4, 1}, "unknown key \"makers\"", "did you mean \"maker\""},
      {"machine.toml", "kind = \"sound\"", "kind = \"sond\"", {"machine.toml", 16, 8}, "there is no kind \"sond\"", "\"sound\""},
      {"machine.toml", "ref = \"ear\"", "ref = \"my ear\"", {"machine.toml", 11, 7}, "can't be a reference", "no blanks"},
      {"machine.toml", "id = \"rings\"", "id = \"it rings\"", {"machine.toml", 14, 6}, "can't be the id of a function", "one word"},
      {"machine.toml", "revision = \"A\"", "revision = 1", {"machine.toml", 5, 12}, "revision must be a text", "quotes"},
      {"machine.toml", "revision = \"A\"", "units = []", {"machine.toml", 5, 9}, "units is empty", "leave it out"},
      {"machine.toml", "revision = \"A\"", "unit = \"../x\"", {"machine.toml", 5, 8}, "can't be the name of a unit", "letters"},
      {"board.toml", "grounds = [\"GND\"]", "grounds = [\"GND\", 3]", {"board.toml", 4, 19}, "grounds must be a list of texts", "quotes"},
      {"board.toml", "grounds = [\"GND\"]", "grounds = [\"GMD\"]", {"board.toml", 4, 12}, "there is no net \"GMD\"", "\"GND\""},
      {"board.toml", "volts = 5", "volts = 0", {"board.toml", 7, 9}, "volts must be", "nominal"},
      {"board.toml", "volts = 5", "tolerance = 5\nvolts = 5", {"board.toml", 7, 13}, "tolerance must be", "per cent"},
      {"board.toml", "net = \"+5V\"", "net = \"+5\"", {"board.toml", 6, 7}, "there is no net \"+5\"", "+5V"},
      {"board.toml", "net = \"+5V\"", "net = \"GND\"", {"board.toml", 6, 7}, "is a ground already", ""},
      {"board.toml", "from = \"PSU\"", "from = \"PSO\"", {"board.toml", 6, 7}, "there is no part \"PSO\"", "PSU"},
      {"board.toml", "moves = 0.5", "moves = 2", {"board.toml", 11, 9}, "moves must be", "share of time"},
      {"parts.toml", "U1 = \"7404 LS\"", "\"U 1\" = \"7404 LS\"", {"parts.toml", 3, 1}, "can't be a reference", "no blanks"},
      {"parts.toml", "U1 = \"7404 LS\"", "U1 = 7404", {"parts.toml", 3, 6}, "must be a text or a table", "74244"},
      {"parts.toml", "U1 = \"7404 LS\"", "U1 = \"\"", {"parts.toml", 3, 6}, "has no type", "resistor"},
      {"parts.toml", "U1 = \"7404 LS\"", "U1 = \"7404 LX\"", {"parts.toml", 3, 1}, "no logic family \"LX\"", "did you mean"},
      {"parts.toml", "R1 = \"resistor 4k7\"", "R1 = \"resistr 4k7\"", {"parts.toml", 5, 1}, "there is no part type \"resistr\"", "\"resistor\""},
      {"parts.toml", "R1 = \"resistor 4k7\"", "U1 = \"7404\"", {"parts.toml", 5, 6}, "redefine", ""},
      {"parts.toml", "at = [12.5, 40.0]", "at = [12.5]", {"parts.toml", 4, 80}, "at must be two numbers", "millimetres"},
      {"parts.toml", "socketed = true", "socket = true", {"parts.toml", 4, 58}, "unknown key \"socket\"", "socketed"},
      {"parts.toml", "pins = \"1..4\"", "pins = \"1..3\"", {"nets.toml", 9, 15}, "J1 has no pin \"4\"", "3 pins"},
      {"parts.toml", "[parts]", "[part]", {"parts.toml", 1, 1}, "parts is missing", ""},
      {"nets.toml", "GND = \"U1.7 U2.10", "GND = \"U1.7 U210", {"nets.toml", 3, 13}, "is no pin", "U5.8"},
      {"nets.toml", "GND = \"U1.7 U2.10", "GND = \"U1.7 U2.99", {"nets.toml", 3, 13}, "U2 has no pin \"99\"", "20 pins"},
      {"nets.toml", "GND = \"U1.7 U2.10", "GND = \"U1.7 U3.10", {"nets.toml", 3, 13}, "there is no part \"U3\"", "did you mean"},
      {"nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16 U2.18\"", {"nets.toml", 11, 14}, "U2.18 is on two nets, \"BELL\" and \"OUT\"", "first named at nets.toml:9:9"},
      {"nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16 U2.16\"", {"nets.toml", 11, 14}, "named twice", "first named at nets.toml:11:8"},
      {"nets.toml", "OUT = \"U2.16\"", "OUT = 16", {"nets.toml", 11, 7}, "the pins of a net are a text", "+5V"},
      {"nets.toml", "OUT = \"U2.16\"", "OUT = \"\"\"\nU2.16\nU2.14\"\"\"", {"nets.toml", 11, 7}, "stand on one line", "list of texts"},
      {"nets.toml", "OUT = \"U2.16\"", "\" \" = \"U2.16\"", {"nets.toml", 11, 1}, "can't be the name of a net", "without blanks"},
      {"nets.toml", "OUT = ", "BELL = ", {"nets.toml", 11, 8}, "redefine", ""},
      {"machine.toml", "\"U2.18\", \"part ear\"", "\"U2.18\", \"part eer\"", {"machine.toml", 17, 19}, "there is no part \"eer\"", "ear"},
      {"machine.toml", "\"U2.18\", \"part ear\"", "\"U2.18\", \"net BEL\"", {"machine.toml", 17, 19}, "there is no net \"BEL\"", "BELL"},
      {"machine.toml", "\"U2.18\", \"part ear\"", "\"U2.81\", \"part ear\"", {"machine.toml", 17, 10}, "U2 has no pin \"81\"", "20 pins"},
      {"machine.toml", "\"U2.18\", \"part ear\"", "\"content part ear\"", {"machine.toml", 17, 10}, "content is asked of pins", "part ear"},
      {"machine.toml", "held = \"SW1\"", "held = \"SW2\"", {"machine.toml", 18, 1}, "there is no part \"SW2\"", "SW1"},
      {"machine.toml", "type = \"operator\"", "type = \"opperator\"", {"machine.toml", 10, 1}, "there is no part type \"opperator\"", "operator"},
      {"machine.toml", "revision = \"A\"", "amendments = [\"missing U9\"]", {"machine.toml", 5, 15}, "there is no part \"U9\"", "did you mean"},
      {"machine.toml", "revision = \"A\"", "amendments = [\"mising U1\"]", {"machine.toml", 5, 15}, "is no amendment", "missing"},
  };
  for (const Wrong& wrong : wrongs) {
    CAPTURE(std::string(wrong.now));
    const Error error = error_of(changed(bell(), wrong.file, wrong.was, wrong.now));
    CHECK(error.code == ErrorCode::bad_input);
    CHECK_MESSAGE(error.place == wrong.place, error.text());
    CHECK_MESSAGE(says(error.message, wrong.message), error.text());
    CHECK_MESSAGE(says(error.hint, wrong.hint), error.text());
  }
}

TEST_CASE("what is wrong with mates is told") {
  const std::pair<const char*, const char*> wrongs[] = {
      {"a = \"scan/J3\"\nb = \"kbd/J9\"\n", "there is no part \"kbd/J9\""},
      {"a = \"scan/J3\"\nb = \"scan/J3\"\n", "can't be plugged into itself"},
      {"a = \"scan/J3\"\nb = \"kbd/J1\"\nmap = \"1=9\"\n", "J1 has no pin \"9\""},
      {"a = \"scan/J3\"\nb = \"kbd/J1\"\nmap = \"1-1\"\n", "is no pair of pins"},
      {"a = \"scan/J3\"\nb = \"kbd/J1\"\nmap = \"1..3=1..2\"\n", "is no pair of pins"},
      {"a = \"scan/J3\"\nb = \"kbd/J1\"\n[[mate]]\na = \"scan/J3\"\nb = \"kbd/SW1\"\n", "is plugged in twice"},
      {"a = \"scan/J3\"\nb = \"kbd/J1\"\ncable = \"U1\"\n", "U1 is there twice"},
      {"a = \"scan/J3\"\nb = \"kbd/J1\"\ncable = \"W 1\"\n", "can't be a reference"},
      {"a = \"R1\"\nb = \"kbd/J1\"\n", "is the name of 2 parts"},
  };
  for (const auto& [mate, message] : wrongs) {
    CAPTURE(std::string(mate));
    const Error error = error_of(sample::organ(mate));
    CHECK_MESSAGE(says(error.message, message), error.text());
    CHECK(error.place.file == "machine.toml");
    CHECK(error.place.line >= 5);
  }
}

TEST_CASE("twenty errors are told at once and the rest are counted") {
  auto files = bell();
  for (int i = 0; i < 30; ++i) files["nets.toml"] += "N" + std::to_string(i) + " = \"X" + std::to_string(i) + ".1\"\n";
  const Error error = error_of(files);
  CHECK(says(error.message, "X0"));
  CHECK(says(error.message, "X19"));
  CHECK_FALSE(says(error.message, "\"X20.1\""));
  CHECK(says(error.message, "10 more"));
}

TEST_CASE("errors in several files come together") {
  auto files = changed(bell(), "parts.toml", "U1 = \"7404 LS\"", "U1 = 3");
  files = changed(files, "board.toml", "volts = 5", "volts = \"5\"");
  const Error error = error_of(files);
  CHECK(says(error.text(), "parts.toml:3:6"));
  CHECK(says(error.text(), "board.toml:7:9"));
}

TEST_CASE("a type that is not there does not make its pins wrong too") {
  const Error error = error_of(changed(bell(), "parts.toml", "U2 = { type = \"74244\"", "U2 = { type = \"74244x\""));
  CHECK(says(error.message, "there is no part type \"74244x\""));
  CHECK_FALSE(says(error.message, "no pin"));
}

TEST_CASE("missing files are named") {
  for (const char* name : {"board.toml", "parts.toml", "nets.toml", "machine.toml"}) {
    auto files = bell();
    files.erase(name);
    const Error error = error_of(files);
    CHECK(error.place.file == name);
    CHECK(says(error.message, "is missing"));
  }
}

TEST_CASE("a folder without a machine is not found") {
  const auto spec = load_spec("no/such/folder");
  REQUIRE_FALSE(spec.ok());
  CHECK(spec.error().code == ErrorCode::not_found);
}

TEST_CASE("part types of a unit are read from its types folder") {
  auto files = bell();
  files["types/chime.toml"] =
      "format = 1\nid = \"chime\"\ntitle = \"chime\"\nclass = \"loudspeaker\"\npins = [\"1 A passive\", \"2 B passive\"]\n[[resistor]]\na = \"A\"\nb = \"B\"\nohms = 8\n";
  files = changed(files, "parts.toml", "C1 = \"capacitor .1\"", "C1 = \"capacitor .1\"\nLS1 = \"chime\"");
  files = changed(files, "nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16 LS1.A\"");
  const auto machine = sample::machine(files);
  CHECK(sample::net_of(*machine, "LS1.1") == "OUT");
  files["types/chime2.toml"] = files["types/chime.toml"];
  CHECK(says(error_of(files).message, "part type \"chime\" is there twice"));
  files.erase("types/chime2.toml");
  files["types/chime.toml"] += "wrong = 1\n";
  CHECK(says(error_of(files).message, "unknown key \"wrong\""));
}
