#include "support.h"

#include <cstdlib>

#include "base/text.h"
#include "match_table_rows.h"
#include "parts/match.h"
#include "parts/match_table.h"

using namespace halfsplit;
using namespace halfsplit::parts;

namespace {

/// "1..8" or "1 7 8 14" or "" (not known).
std::vector<std::string> pins_of(std::string_view text) {
  std::vector<std::string> out;
  if (starts_with(text, "1..")) {
    const int count = std::atoi(std::string(text.substr(3)).c_str());
    for (int i = 1; i <= count; ++i) out.push_back(std::to_string(i));
    return out;
  }
  for (const auto pin : words(text)) out.emplace_back(pin);
  return out;
}

std::optional<TypeMatch> matched(const std::string& reference, const std::string& value, const std::string& footprint, std::string_view pins) {
  PartDescription part{reference, value, footprint, 0, pins_of(pins)};
  part.pin_count = part.pins.size();
  return match_type(*shipped_library(), part);
}

std::string type_of(const std::string& reference, const std::string& value, const std::string& footprint, std::string_view pins) {
  const auto match = matched(reference, value, footprint, pins);
  return match ? match->type : "";
}

}  // namespace

TEST_CASE("parts lists lead to the right types") {
  CHECK(std::size(kMatchRows) >= 150);
  for (const MatchRow& row : kMatchRows) {
    CAPTURE(std::string(row.reference));
    CAPTURE(std::string(row.value));
    CAPTURE(std::string(row.footprint));
    const auto match = matched(row.reference, row.value, row.footprint, row.pins);
    CHECK((match ? match->type : "") == row.type);
    CHECK((match ? match->family : "") == row.family);
    CHECK((match ? match->value : "") == row.text);
    if (match) CHECK(shipped_library()->type(match->type).ok());
    if (match && !match->otherwise.empty()) CHECK(shipped_library()->type(match->otherwise).ok());
  }
}

TEST_CASE("every pin of the netlist is a pin of the type found") {
  for (const MatchRow& row : kMatchRows) {
    const auto match = matched(row.reference, row.value, row.footprint, row.pins);
    if (!match) continue;
    CAPTURE(std::string(row.value));
    const auto type = shipped_library()->type(match->type);
    REQUIRE(type.ok());
    for (const std::string& pin : pins_of(row.pins)) CHECK((*type)->pin_by_number(pin));
  }
}

TEST_CASE("pins named by letter need no question") {
  const auto named = matched("D1", "1N4148", "", "K A");
  REQUIRE(named);
  CHECK(named->type == "diode");
  CHECK(named->ask.empty());
  const auto numbered = matched("D1", "1N4148", "", "1 2");
  REQUIRE(numbered);
  CHECK(numbered->type == "diode/K,A");
  CHECK(!numbered->ask.empty());
  CHECK(numbered->otherwise == "diode/A,K");
  const auto eagle = matched("D1", "1N4148", "", "A C");
  REQUIRE(eagle);
  CHECK(eagle->type == "diode/A=A,C=K");
  CHECK(eagle->ask.empty());
  CHECK(type_of("C1", "10uF 16V", "", "+ -") == "capacitor-polarised/+=+,-=-");
  CHECK(type_of("C1", "100n", "C_0805", "A B") == "capacitor/A=1,B=2");
  CHECK(type_of("Q1", "BC547", "", "B C E") == "npn");
  CHECK(type_of("LED1", "", "LED_D3.0mm", "A K") == "led");
  CHECK(type_of("J1", "", "USB_C_Receptacle", "A1 A4 A5 A6 S1") == "usb/A1,A4..A6,S1");
  CHECK(type_of("J1", "", "DSUB-9_Male", "0 1 2 3 4 5 6 7 8 9") == "dsub/0..9");
}

TEST_CASE("the order of the legs in a footprint beats the one of the number") {
  CHECK(type_of("Q1", "BC547", "TO-92_Inline_EBC", "1..3") == "npn/E,B,C");
  CHECK(type_of("Q1", "2N3904", "Package_TO_SOT_THT:TO-92_Inline_Wide_CBE", "1..3") == "npn/C,B,E");
  CHECK(type_of("Q1", "2N7000", "TO-92_DGS", "1..3") == "nfet/D,G,S");
}

TEST_CASE("regulators in small and large packages have opposite orders") {
  const auto pin_one = [](const std::string& value, const std::string& footprint) {
    const auto id = type_of("VR1", value, footprint, "1..3");
    REQUIRE(!id.empty());
    const PartType& type = **shipped_library()->type(id);
    return type.pins[*type.pin_by_number("1")].name;
  };
  CHECK(pin_one("7805", "TO-220-3_Vertical") == "IN");
  CHECK(pin_one("LM7805CT", "") == "IN");
  CHECK(pin_one("78L05", "TO-92_Inline") == "OUT");
  CHECK(pin_one("LM7805", "TO-92_Inline") == "OUT");
  CHECK(pin_one("7812", "TO-92") == "OUT");
}

TEST_CASE("the number of pins must fit") {
  CHECK(type_of("U1", "74LS244", "", "1..14") == "");
  CHECK(type_of("U1", "74LS244", "DIP-16_W7.62mm", "1..16") == "");
  CHECK(type_of("U1", "74LS00", "SOIC-14_3.9x8.7mm_P1.27mm", "1..14") == "7400");
  CHECK(type_of("U1", "6522", "PLCC-44", "1..44") == "");
  CHECK(type_of("U1", "74LS244", "", "1..18") == "74244");  // two pins without a net
  CHECK(type_of("U1", "74LS244", "", "1..10") == "");
  CHECK(type_of("U1", "74LS244", "", "1 2 3 A1") == "");
  CHECK(type_of("RN1", "10k", "R_Array_SIP9", "1..9") == "resistor-network-bussed/9");
  CHECK(type_of("J1", "", "PinHeader_2x17_P2.54mm", "") == "header/34");
  CHECK(type_of("J1", "Conn_01x03", "", "") == "header/3");
}

TEST_CASE("numbers without pins or footprint are read where the prefix allows") {
  CHECK(type_of("U1", "4116", "", "") == "4116");
  CHECK(type_of("", "74LS00", "", "") == "7400");
  CHECK(type_of("", "Z80", "", "") == "Z80");
  CHECK(type_of("C1", "4116", "", "") == "capacitor");
  CHECK(type_of("R1", "555", "", "") == "resistor");
  CHECK(type_of("C5", "74LS257", "", "") == "74257");
}

TEST_CASE("role words are no numbers") {
  CHECK(type_of("U9", "6502 BUS", "", "1..40") == "");
  CHECK(type_of("J1", "Z80-BUS", "", "1..40") == "header/40");
  CHECK(type_of("U9", "6502 BUS", "DIP-40_W15.24mm", "1..40") == "6502");
  CHECK(type_of("U9", "74LS245 Data Bus", "", "1..20") == "74245");
}

TEST_CASE("closed and open links and three way jumpers") {
  const auto closed = [](const std::string& id) {
    std::string out;
    for (const Block& block : (*shipped_library()->type(id))->blocks) out += *block.word("closed") == "true" ? "1" : "0";
    return out;
  };
  CHECK(closed(type_of("JP1", "Jumper_3_Bridged12", "", "1..3")) == "10");
  CHECK(closed(type_of("JP1", "SolderJumper_3_Bridged23", "SolderJumper-3_P1.3mm_Bridged2Bar3", "1..3")) == "01");
  CHECK(closed(type_of("JP1", "Jumper_3_Open", "", "1..3")) == "00");
  CHECK(closed(type_of("JP1", "SolderJumper_2_Open", "SolderJumper-2_P1.3mm_Open", "1..2")) == "0");
  CHECK(closed(type_of("JP1", "SolderJumper_2_Bridged", "SolderJumper-2_P1.3mm_Bridged", "1..2")) == "1");
}

TEST_CASE("every rule leads to types of the library") {
  const auto library = shipped_library();
  const MatchTable& table = library->match_table();
  CHECK(table.by_footprint.size() > 30);
  for (const auto* rules : {&table.by_footprint, &table.by_value, &table.by_reference})
    for (const MatchRule& rule : *rules) {
      CAPTURE(rule.type);
      const auto type = library->type(rule.type);
      REQUIRE(type.ok());
      if (!rule.order.empty()) CHECK(library->type(rule.type + "/" + rule.order).ok());
      if (!rule.otherwise.empty()) CHECK(library->type(rule.otherwise).ok());
      if (!(*type)->numbered && !rule.pins.empty()) CHECK(rule.pins[0].first <= (*type)->pins.size());
    }
}

TEST_CASE("patterns know any letters one letter and one digit") {
  CHECK(fits_pattern("1n4148", "1n####"));
  CHECK(fits_pattern("1n4148-tap", "1n####*"));
  CHECK(!fits_pattern("1n414", "1n####*"));
  CHECK(fits_pattern("bc547b", "*bc54?*"));
  CHECK(fits_pattern("", "*"));
  CHECK(!fits_pattern("", "?"));
  CHECK(!fits_pattern("#", "#"));
  CHECK(fits_pattern("aaaaaaaaaaaaaaaaaaaaaaaaaaaaab", "*a*a*a*a*a*b"));
  CHECK(!fits_pattern("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", "*a*a*a*a*a*b"));
}

TEST_CASE("hostile descriptions are answered quietly") {
  const auto long_text = std::string(100000, 'x');
  CHECK(type_of(long_text, long_text, long_text, "") == "");
  CHECK(type_of("U1", std::string("74LS\0" "00", 7), "", "") == "");
  CHECK(type_of("U1", std::string(5000, '-'), "", "") == "");
  CHECK(type_of("U1", std::string(2000, '7'), "DIP-99999999999", "") == "");
}
