#include "board/part_line.h"

#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;

TEST_CASE("a part in a few words is type and family and value") {
  const ShortPart resistor = parse_short_part("resistor 4.7k");
  CHECK(resistor.type == "resistor");
  CHECK(resistor.family.empty());
  CHECK(resistor.value == "4.7k");
  const ShortPart chip = parse_short_part(" 74244  LS ");
  CHECK(chip.type == "74244");
  CHECK(chip.family == "LS");
  CHECK(chip.value.empty());
  const ShortPart all = parse_short_part("74244 ALS SN74ALS244 N");
  CHECK(all.family == "ALS");
  CHECK(all.value == "SN74ALS244 N");
  CHECK(parse_short_part("npn BC547").value == "BC547");
  CHECK(parse_short_part("").type.empty());
}

TEST_CASE("the short form is given only where it reads back the same") {
  CHECK(short_part_text({"74244", "LS", ""}) == "74244 LS");
  CHECK(short_part_text({"resistor", "", "4.7k"}) == "resistor 4.7k");
  CHECK(short_part_text({"led", "", "RED"}) == std::nullopt);        // would read as a family
  CHECK(short_part_text({"4001", "4000", ""}) == std::nullopt);      // no capitals
  CHECK(short_part_text({"resistor", "", " 4k7"}) == std::nullopt);  // blanks at the ends
  CHECK(short_part_text({"", "", "x"}) == std::nullopt);
}

TEST_CASE("lists of pins know runs") {
  CHECK(parse_pin_list("1..3 A9..A11 GND") == std::vector<std::string>{"1", "2", "3", "A9", "A10", "A11", "GND"});
  CHECK(parse_pin_list("3..1") == std::vector<std::string>{"3..1"});
  CHECK(parse_pin_list("1..100000").size() == 1);
  CHECK(pin_list_text({"1", "2", "3", "5", "7", "8", "A1", "A2", "A3", "A4"}) == "1..3 5 7 8 A1..A4");
  CHECK(pin_list_text({"01", "02", "03"}) == "01 02 03");
  for (const std::vector<std::string>& pins : {std::vector<std::string>{"1", "2", "3"}, {"+", "-"}, {"2", "1"}, {"A8", "A9", "A10", "B1"}})
    CHECK(parse_pin_list(pin_list_text(pins)) == pins);
}

TEST_CASE("references that the files could not say are refused") {
  for (const char* good : {"U5", "REF**", "R7A", "C_1"}) CHECK(is_reference(good));
  for (const char* bad : {"", "BANK 0", "U5.8", "a/U5", "J1~J2", "A,1", "x=y", "a@b", "tab\t"}) CHECK_FALSE(is_reference(bad));
}
