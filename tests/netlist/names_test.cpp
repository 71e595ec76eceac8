#include "netlist/names.h"

#include <doctest/doctest.h>

using namespace halfsplit::netlist;

namespace {
std::string leaf(std::string_view raw, bool paths = false) { return read_name(raw, NameHabits{paths}).leaf; }
}  // namespace

TEST_CASE("overbar marks become a leading bar") {
  CHECK(with_bars("~{OE}") == "/OE");
  CHECK(with_bars("~OE") == "/OE");
  CHECK(with_bars("~OE~") == "/OE");
  CHECK(with_bars("OE\\") == "/OE");
  CHECK(with_bars("O\\E\\") == "/OE");
  CHECK(with_bars("OE*") == "/OE");
  CHECK(with_bars("OE#") == "/OE");
  CHECK(with_bars("/OE") == "/OE");
  CHECK(with_bars("R/~{W}") == "R//W");
  CHECK(with_bars("MEM_~{OE}") == "MEM_/OE");
  CHECK(with_bars("OE") == "OE");
  CHECK(with_bars("~") == "~");
  CHECK(with_bars("~{OE") == "/{OE");
}

TEST_CASE("escapes and additions are taken off") {
  CHECK(leaf("MEM?{SLASH}OE") == "MEM_/OE");
  CHECK(leaf("{slash}TAPE") == "/TAPE");
  CHECK(leaf("{SLASH}~{TAPE}") == "/TAPE");
  CHECK(leaf("GND{1}") == "GND");
  CHECK(leaf("STROBE#12") == "STROBE");
  CHECK(leaf("STROBE#") == "/STROBE");
  CHECK(read_name("STROBE#12", {}).number == "12");
  CHECK(leaf("ASH}TAPE") == "/TAPE");    // the head was cut off inside an escape
  CHECK(leaf("TAPE}") == "/TAPE");       // or inside an overbar
  CHECK(leaf("{KSTROBE}") == "/KSTROBE");
}

TEST_CASE("sheet paths are told from bars by the file's habits") {
  const auto habits = [](std::vector<std::string_view> names) { return habits_of(names).sheet_paths; };
  CHECK(habits({"/KEYS/ROW1", "GND", "TAPE"}));
  CHECK(habits({"/A0", "/A1", "/STROBE", "GND"}));
  CHECK_FALSE(habits({"/STROBE", "A0", "A1", "A2", "GND"}));
  CHECK(habits({"MEM{SLASH}OE", "GND"}));
  CHECK(leaf("/KEYS/ROW1", true) == "ROW1");
  CHECK(read_name("/KEYS/ROW1", NameHabits{true}).path == "KEYS");
  CHECK(read_name("/TOP/KEYS/ROW1", NameHabits{true}).path == "TOP/KEYS");
  CHECK(leaf("/STROBE", false) == "/STROBE");
  CHECK(leaf("/MEM/~{OE}", true) == "/OE");
}

TEST_CASE("names made up by programs are recognised also when cut") {
  const auto made = [](std::string_view raw) { return made_up_name(raw).has_value(); };
  CHECK(made("Net-(U4-Pad11)"));
  CHECK(made("T-(U104-PAD11)"));
  CHECK(made("MIN-PAD12)#1"));
  CHECK(made("DEOLINK-PAD19)"));
  CHECK(made("unconnected-(U7-QB-Pad2)"));
  CHECK(made("N$3"));
  CHECK(made("UNNAMED_2_CAP_I27_N1"));
  CHECK(made("N00123"));
  CHECK(made("NetU4_11"));
  CHECK_FALSE(made("NMI"));
  CHECK_FALSE(made("N1"));
  CHECK_FALSE(made("NETWORK_OK"));
  CHECK_FALSE(made("TAPE(IN)"));
  CHECK_FALSE(made("A-B)"));
  CHECK_FALSE(made(""));
}

TEST_CASE("a made up name still tells part and pin") {
  const auto whole = made_up_name("unconnected-(U7-~{QB}-Pad2)");
  REQUIRE(whole);
  CHECK(whole->ref == "U7");
  CHECK(whole->pin_name == "/QB");
  CHECK(whole->pin_number == "2");
  CHECK(whole->unconnected);
  const auto named = made_up_name("Net-(Q4-B)");
  REQUIRE(named);
  CHECK(named->ref == "Q4");
  CHECK(named->pin_name == "B");
  CHECK(named->pin_number.empty());
  CHECK_FALSE(named->unconnected);
  const auto cut = made_up_name("04-RCEXT-PAD7)");
  REQUIRE(cut);
  CHECK(cut->ref.empty());
  CHECK(cut->pin_name == "RCEXT");
  CHECK(cut->pin_number == "7");
  const auto joined = made_up_name("NetIC4_11");
  REQUIRE(joined);
  CHECK(joined->ref == "IC4");
  CHECK(joined->pin_number == "11");
}
