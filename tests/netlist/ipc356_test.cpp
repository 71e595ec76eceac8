#include "netlist/ipc356.h"

#include <doctest/doctest.h>

#include <string>

#include "records.h"

using namespace halfsplit;
using namespace halfsplit::netlist;
using records::Fields;

namespace {

Netlist read(const std::string& text) {
  Result<Netlist> netlist = read_ipc356(text, "board.ipc");
  REQUIRE_MESSAGE(netlist.ok(), (netlist.ok() ? "" : netlist.error().text()));
  return std::move(*netlist);
}

Error refused(const std::string& text) {
  const Result<Netlist> netlist = read_ipc356(text, "board.ipc");
  REQUIRE_FALSE(netlist.ok());
  CHECK(netlist.error().code == ErrorCode::bad_input);
  CHECK(netlist.error().place.file == "board.ipc");
  return netlist.error();
}

std::string pin(const std::string& net, const std::string& ref, const std::string& number, int x = 12000, int y = 8000, const std::string& code = "317") {
  Fields fields;
  fields.code = code;
  fields.net = net;
  fields.ref = ref;
  fields.pin = number;
  if (ref.empty()) fields.dash = "";
  char text[32];
  std::snprintf(text, sizeof text, "X%+07d", x);
  fields.x = text;
  std::snprintf(text, sizeof text, "Y%+07d", y);
  fields.y = text;
  return records::line(fields);
}

/// A row of pins one pitch apart, in file units.
std::string package(const std::string& ref, int pins, int pitch, int y) {
  std::string out;
  for (int i = 1; i <= pins; ++i) out += pin("W" + std::to_string(i % 5), ref, std::to_string(i), 1000 + i * pitch, y);
  return out;
}

std::string units_file(const std::string& units, int pitch) {
  std::string body;
  for (int p = 1; p <= 6; ++p) body += package("U" + std::to_string(p), 8, pitch, p * 4 * pitch);
  return "P  UNITS " + units + "\n" + body + "999\n";
}

}  // namespace

TEST_CASE("pins are grouped as in the file") {
  const Netlist netlist = read(records::file(pin("STROBE", "U4", "1") + pin("STROBE", "R7", "2") + pin("GND", "U4", "7") + pin("N/C", "U4", "9")));
  REQUIRE(netlist.parts.size() == 2);
  REQUIRE(netlist.nets.size() == 2);
  CHECK(netlist.net(netlist.find_part("U4")->pins[0].net).name == "STROBE");
  CHECK(netlist.nets[0].pins.size() == 2);
  CHECK_FALSE(netlist.nets[0].lone);
  CHECK(netlist.nets[1].lone);
  CHECK_FALSE(netlist.find_part("U4")->pins[2].net.known());
  CHECK(netlist.pin_count() == 4);
  CHECK(netlist.hash != 0);
}

TEST_CASE("a pin may have several pads and a continuation adds one") {
  const Netlist netlist = read(records::file(pin("GND", "U4", "1") + pin("GND", "U4", "1", 13000) + "017" + std::string(29, ' ') +
                                             "D0400PA00X+014000Y+008000\n" + pin("N/C", "U4", "1", 15000)));
  REQUIRE(netlist.parts.size() == 1);
  REQUIRE(netlist.parts[0].pins.size() == 1);
  CHECK(netlist.parts[0].pins[0].pads.size() == 4);
  CHECK(netlist.parts[0].pins[0].pads[2].at->x_mm == doctest::Approx(35.56));
  CHECK(netlist.parts[0].pins[0].net == NetIndex(0));
  CHECK(netlist.deviation_count(DeviationKind::pin_several_pads) == 1);
}

TEST_CASE("one reference for two parts is told apart") {
  const Netlist netlist = read(records::file(pin("A", "C5", "1", 1000) + pin("GND", "C5", "2", 2000) + pin("B", "C5", "1", 9000) + pin("GND", "C5", "2", 9900)));
  REQUIRE(netlist.parts.size() == 2);
  CHECK(netlist.parts[1].ref == "C5_2");
  CHECK(netlist.parts[1].file_ref == "C5");
  CHECK(netlist.parts[0].pins.size() == 2);
  CHECK(netlist.parts[1].pins.size() == 2);
  CHECK(netlist.deviation_count(DeviationKind::reference_duplicate) == 1);
  // two pins, the first on the same net in both, listed net by net: place tells them apart
  const Netlist mixed = read(records::file(pin("GND", "C5", "2", 2000) + pin("GND", "C5", "2", 9900) + pin("A", "C5", "1", 1000) + pin("B", "C5", "1", 9000)));
  REQUIRE(mixed.parts.size() == 2);
  CHECK(mixed.parts[0].pins.size() == 2);
  CHECK(mixed.parts[1].pins.size() == 2);
  CHECK(mixed.parts[0].pins[1].pads[0].at->x_mm == doctest::Approx(2.54));
  CHECK(mixed.deviation_count(DeviationKind::pin_on_two_nets) == 1);
}

TEST_CASE("units are believed unless the pins say otherwise") {
  const auto units = [](const std::string& stated, int pitch) { return read(units_file(stated, pitch)); };
  CHECK(units("CUST 0", 1000).units == Units::tenth_mils);
  CHECK(units("CUST", 1000).units == Units::tenth_mils);
  CHECK(units("CUST 1", 2540).units == Units::micrometres);
  CHECK(units("SI", 2540).units == Units::micrometres);
  CHECK(units("CUST 2", 1000).deviation_count(DeviationKind::units_contradict) == 0);
  const Netlist wrong = units("CUST 2", 2540);
  CHECK(wrong.units == Units::micrometres);
  CHECK(wrong.deviation_count(DeviationKind::units_contradict) == 1);
  CHECK(wrong.notes.size() == 1);
  const Netlist none = units("FURLONG", 2540);
  CHECK(none.units == Units::micrometres);
  CHECK(none.deviation_count(DeviationKind::units_missing) == 1);
  // a pitch that fits neither unit changes nothing
  CHECK(units("CUST 0", 1777).units == Units::tenth_mils);
}

TEST_CASE("conductors give tracks and outlines a board edge") {
  const Netlist netlist = read(records::file(pin("STROBE", "U4", "1") +
                                             "378STROBE         L02 X150 X1000Y2000 X3000 Y4000 * X0Y0 X-500\n"
                                             "078               Y700 Q9\n"
                                             "389BOARD_EDGE         X0Y0 X22500 Y15000 X0 Y0\n"
                                             "389SCORE_LINE         X100 X0Y0 X22500\n"));
  REQUIRE(netlist.tracks.size() == 2);
  CHECK(netlist.tracks[0].layer == 2);
  CHECK(netlist.tracks[0].width_mm == doctest::Approx(0.381));
  REQUIRE(netlist.tracks[0].points.size() == 3);
  CHECK(netlist.tracks[0].points[2].x_mm == doctest::Approx(7.62));
  CHECK(netlist.tracks[0].points[2].y_mm == doctest::Approx(10.16));
  REQUIRE(netlist.tracks[1].points.size() == 3);
  CHECK(netlist.tracks[1].points[2].x_mm == doctest::Approx(-1.27));
  CHECK(netlist.tracks[1].points[2].y_mm == doctest::Approx(1.778));
  const CopperSummary copper = copper_of(netlist, NetIndex(0));
  CHECK(copper.tracks == 2);
  CHECK(copper.length_mm == doctest::Approx(5.08 + 5.08 + 1.27 + 1.778));
  CHECK(copper.layers == std::vector<int>{2});
  REQUIRE(netlist.outline.size() == 1);
  REQUIRE(netlist.outline[0].size() == 5);
  CHECK(netlist.outline[0][2].y_mm == doctest::Approx(38.1));
  CHECK(netlist.deviation_count(DeviationKind::outline_without_aperture) == 1);
  CHECK(netlist.deviation_count(DeviationKind::conductor_unreadable) == 1);
  CHECK(netlist.deviation_count(DeviationKind::record_not_used) == 1);
}

TEST_CASE("neighbours are pairs of nets and unknown ones are counted") {
  const Netlist netlist = read(records::file(pin("A", "U4", "1") + pin("B", "U4", "2") + pin("C", "U4", "3") + "379A B NOSUCH\n079C\n379B A\n"));
  REQUIRE(netlist.neighbours.size() == 2);
  CHECK(netlist.neighbours[0].first == NetIndex(0));
  CHECK(netlist.neighbours[0].second == NetIndex(1));
  CHECK(netlist.neighbours[1].second == NetIndex(2));
  CHECK(netlist.deviation_count(DeviationKind::neighbour_unknown) == 1);
}

TEST_CASE("values inside the file are read") {
  std::string first = "370STROBE         A01 X+012000Y+008000 R 4700E+0";
  first.resize(65, ' ');
  const Netlist netlist = read(records::file(pin("STROBE", "U4", "1") + pin("GND", "U4", "2") + first + "R12\n070GND\n"));
  REQUIRE(netlist.elements.size() == 1);
  CHECK(netlist.elements[0].value == doctest::Approx(4700));
  CHECK(netlist.elements[0].name == "R12");
  CHECK(netlist.elements[0].a == NetIndex(0));
  CHECK(netlist.elements[0].b == NetIndex(1));
}

TEST_CASE("names are unique and readable") {
  const Netlist netlist = read(records::file(pin("/CPU/CLK", "U1", "1") + pin("/VID/CLK", "U1", "2") + pin("/VID/~{LD}", "U1", "3") + pin("GND", "U1", "4") +
                                             pin("GND#1", "U1", "5") + pin("NET-(U1-PAD6)", "U1", "6") + pin("NET-(U1-PAD6)", "R1", "1")));
  std::vector<std::string> names;
  for (const Net& net : netlist.nets) names.push_back(net.name);
  CHECK(names == std::vector<std::string>{"CPU/CLK", "VID/CLK", "/LD", "GND", "GND (2)", "net at U1.6"});
}

TEST_CASE("records are read when a writer counts bytes or characters") {
  Fields fields;
  std::string by_characters = records::line(fields), by_bytes = by_characters;
  by_characters.replace(3, 7, "\xc3\x9c" "BERN  ");
  by_bytes.replace(3, 7, "\xc3\x9c" "BERN ");
  for (const std::string& text : {by_characters, by_bytes}) {
    const Netlist netlist = read(records::file(text));
    CHECK(netlist.nets[0].raw == "\xc3\x9c" "BERN");
    CHECK(netlist.parts[0].pins[0].number == "1");
    CHECK(netlist.deviation_count(DeviationKind::coordinates_off_column) == 0);
  }
}

TEST_CASE("files that only look like the format are refused with one error") {
  const Error blank = refused("P  UNITS CUST 0\n317 STROBE U1-4\n317 STROBE U2-7\n999\n");
  CHECK(blank.place.line == 2);
  CHECK(blank.place.column == 4);
  CHECK(blank.message.find("only looks like IPC-D-356A (2 lines") == 0);
  CHECK(blank.message.find('\n') == std::string::npos);
  CHECK(blank.hint.find("net 4-17") != std::string::npos);
  CHECK(refused("317STROBE,U1,4\n").place.line == 1);
  CHECK(refused("{\"nets\": []}\n").message.find("starts with \"{\"") != std::string::npos);
  CHECK(refused("").message.find("no test record") != std::string::npos);
  CHECK(refused("P  UNITS CUST 0\n999\n").message.find("no test record") != std::string::npos);
}

TEST_CASE("a few bad records refuse the file with every place") {
  const std::string good = pin("STROBE", "U4", "1");
  const Error error = refused(records::header() + good + good + good + "317 LATE         U4\n" + good + "31X\n" + good + "999\n");
  CHECK(error.place.line == 12);
  CHECK(error.place.column == 4);
  CHECK(error.message.find("board.ipc:14:1") != std::string::npos);
  std::string many = records::header();
  for (int i = 0; i < 40; ++i) many += good;
  for (int i = 0; i < 30; ++i) many += "31X\n";
  CHECK(refused(many).message.find("and 10 more") != std::string::npos);
}

TEST_CASE("what is no text or too long is refused") {
  CHECK(refused(std::string("317STROBE\0", 10)).message.find("NUL") != std::string::npos);
  CHECK(refused(std::string("317STROBE\0", 10)).place.column == 10);
  CHECK(refused(std::string(5000, 'C')).message.find("4,096") != std::string::npos);
  CHECK(refused(std::string((std::size_t{32} << 20) + 1, ' ')).message.find("32 MiB") != std::string::npos);
  CHECK(refused("317A\x01\n").message.find("control") != std::string::npos);
}
