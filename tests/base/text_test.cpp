#include "base/text.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>

using namespace halfsplit;

TEST_CASE("text is trimmed and split and joined") {
  CHECK(trim(" \t a b \r\n") == "a b");
  CHECK(trim("  ") == "");
  CHECK(split("a,,b,", ',').size() == 4);
  CHECK(split("", ',').size() == 1);
  CHECK(words("  U5.8\t 4.31V ") == std::vector<std::string_view>{"U5.8", "4.31V"});
  CHECK(words("").empty());
  CHECK(join({"a", "b"}, ", ") == "a, b");
  CHECK(upper("aZ\xc2\xb5") == "AZ\xc2\xb5");
  CHECK(lower("aZ1") == "az1");
  CHECK(starts_with("U5.8", "U5"));
  CHECK_FALSE(starts_with("U", "U5"));
  CHECK(ends_with("a.toml", ".toml"));
  CHECK_FALSE(ends_with("toml", ".toml"));
}

TEST_CASE("references sort as people count") {
  std::vector<std::string> refs = {"U10", "U2", "R1", "U2A", "U02", "U", "U99999999999999999999999"};
  std::sort(refs.begin(), refs.end(), [](const auto& a, const auto& b) { return natural_less(a, b); });
  CHECK(refs == std::vector<std::string>{"R1", "U", "U02", "U2", "U2A", "U10", "U99999999999999999999999"});
  CHECK_FALSE(natural_less("U2", "U2"));
  CHECK(natural_less("U02", "U2") != natural_less("U2", "U02"));
}

TEST_CASE("edit distance counts swaps once") {
  CHECK(edit_distance("", "abc") == 3);
  CHECK(edit_distance("kitten", "sitting") == 3);
  CHECK(edit_distance("ab", "ba") == 1);
  CHECK(edit_distance("title", "titel") == 1);
}

TEST_CASE("the nearest word is proposed and far ones are not") {
  const std::vector<std::string> keys = {"title", "family", "class"};
  CHECK(did_you_mean("titel", keys) == "title");
  CHECK(did_you_mean("CLASS", keys) == "class");
  CHECK_FALSE(did_you_mean("voltage", keys).has_value());
  CHECK_FALSE(did_you_mean("x", {"y"}).has_value());
  CHECK_FALSE(did_you_mean("", keys).has_value());
  CHECK_FALSE(did_you_mean(std::string(100000, 'a'), keys).has_value());
  CHECK(did_you_mean("ac", {"ab", "ad"}) == "ab");
}

TEST_CASE("names from outside are shown harmlessly") {
  CHECK(in_quotes("a b") == "\"a b\"");
  CHECK(in_quotes("a\x1b[2J\n") == "\"a\\x1b[2J\\x0a\"");
  CHECK(in_quotes(std::string(61, 'x')) == "\"" + std::string(60, 'x') + "\"...");
}

TEST_CASE("display width follows grapheme clusters") {
  CHECK(display_width("10 \xc2\xb5" "F") == 5);
  CHECK(display_width("e\xcc\x81") == 1);
  CHECK(display_width("\xe6\xbc\xa2\xe5\xad\x97") == 4);
  CHECK(display_width("\xf0\x9f\x91\xa9\xe2\x80\x8d\xf0\x9f\x94\xa7") == 2);
  CHECK(display_width("\xff") == 1);
  CHECK(padded("\xce\xa9", 3) == "\xce\xa9  ");
  CHECK(padded("long", 2) == "long");
}

TEST_CASE("numbers are shown as people read them") {
  CHECK(shown(4.31) == "4.31");
  CHECK(shown(5) == "5");
  CHECK(shown(0) == "0");
  CHECK(shown(-0.0) == "0");
  CHECK(shown(12345) == "12340");
  CHECK(shown(123456789.0, 9) == "123456789");
  CHECK(shown(9.99996) == "10");
  CHECK(shown(0.00012345) == "0.0001234");
  CHECK(shown(0.00001) == "1e-5");
  CHECK(shown(2.5e12) == "2.5e12");
  CHECK(shown(-0.333333, 2) == "-0.33");
  CHECK(shown(std::nan("")) == "unknown");
  CHECK(shown(std::numeric_limits<double>::infinity()) == "infinite");
}

TEST_CASE("units take engineering prefixes") {
  CHECK(shown_with_unit(0.0047, "F") == "4.7 mF");
  CHECK(shown_with_unit(4700, "ohm") == "4.7 kohm");
  CHECK(shown_with_unit(3.58e6, "Hz") == "3.58 MHz");
  CHECK(shown_with_unit(0.999996, "V") == "1 V");
  CHECK(shown_with_unit(999.96, "V") == "1 kV");
  CHECK(shown_with_unit(0.0999, "V") == "99.9 mV");
  CHECK(shown_with_unit(64e-6, "s") == "64 \xc2\xb5s");
  CHECK(shown_with_unit(1e-10, "F") == "100 pF");
  CHECK(shown_with_unit(-0.6, "V") == "-600 mV");
  CHECK(shown_with_unit(0, "V") == "0 V");
  CHECK(shown_with_unit(2e9, "Hz") == "2000 MHz");
}
