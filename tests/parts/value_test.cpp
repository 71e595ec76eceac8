#include <doctest/doctest.h>

#include <cmath>

#include "parts/match.h"

using namespace halfsplit::parts;

namespace {
struct Row { std::string text; double value; };
void reads(ValueKind kind, std::initializer_list<Row> rows) {
  for (const Row& row : rows) {
    const auto value = parse_value(row.text, kind);
    CAPTURE(row.text);
    REQUIRE(value);
    CHECK(*value == doctest::Approx(row.value).epsilon(1e-9));
  }
}
void refuses(ValueKind kind, std::initializer_list<std::string> rows) {
  for (const std::string& text : rows) {
    CAPTURE(text);
    CHECK(!parse_value(text, kind));
  }
}
}  // namespace

TEST_CASE("one hundred nanofarads in all its notations") {
  for (const char* text : {"0.1u", "100n", ".1", "0.1uF", ".1uF", "0.1\xc2\xb5" "F", "0.1\xce\xbc" "F", "0.1\xb5" "F", "0.1uF 25V", "100nF", "0.1\xc2\xb5" "f", ".1u", "0.1", "100nf", ".1 x26", ".1M",
                           "0.1MFD", "0.1 uF", "0,1uF", "100N", "104", "104K", "0u1", "100000p", "100nF/50V", "0.1uF (X7R)", "100n x4"}) {
    CAPTURE(text);
    const auto value = parse_value(text, ValueKind::capacitance);
    REQUIRE(value);
    CHECK(value_text(*value, ValueKind::capacitance) == "100n");
  }
}

TEST_CASE("capacitors by the rules of the trade") {
  reads(ValueKind::capacitance, {{"10u", 10e-6}, {"10uF", 10e-6}, {"10\xc2\xb5" "F", 10e-6}, {"10 10V", 10e-6}, {"10uF 16V", 10e-6}, {"10,000\xc2\xb5" "F 16V", 10e-3},
                                 {"470/16V", 470e-6}, {"4u7", 4.7e-6}, {"4,7u", 4.7e-6}, {"47pf", 47e-12}, {"33", 33e-12}, {"220", 220e-12}, {"1000", 1e-9}, {"2p2", 2.2e-12},
                                 {"1n5", 1.5e-9}, {"10K", 10e-9}, {"50mmf", 50e-12}, {"50uuF", 50e-12}, {"10pF-50pF", 10e-12}, {"0.22F", 0.22}, {"473", 47e-9}, {"222J", 2.2e-9},
                                 {"22u 16V", 22e-6}, {"1000uF", 1e-3}, {"100m", 100e-6}});
  refuses(ValueKind::capacitance, {"C_Polarized", "~", "", "NC", "X7R", "10R", "4K7x", "1.2.3u", "-10u", "10uQ", "1/2"});
}

TEST_CASE("resistors by the rules of the trade") {
  reads(ValueKind::resistance, {{"4700", 4700}, {"4.7K", 4700}, {"4K7", 4700}, {"4.7k", 4700}, {"1K", 1000}, {"1000", 1000}, {"1k", 1000}, {"1K\xce\xa9", 1000}, {"1K\xe2\x84\xa6", 1000},
                                {"470R", 470}, {"470 R", 470}, {"0R", 0}, {"0", 0}, {"2R2", 2.2}, {"0R22", 0.22}, {"1M", 1e6}, {"4M7", 4.7e6}, {"4K7x8", 4700}, {"10Kx8", 10000},
                                {"10k 5%", 10000}, {"220 ohm", 220}, {"2.2 kOhm", 2200}, {"10,000", 10000}, {"4,7k", 4700}, {"330E", 330}, {"90", 90}, {"4.7K 1/4W", 4700},
                                {"100 1%", 100}, {"1 MOhm", 1e6}, {"10mohm", 0.01}, {"33 Ohms", 33}, {"1,000,000", 1e6}});
  refuses(ValueKind::resistance, {"R", "R33", "3.3.K", "~", "", "1/4W", "5v", "0.7 AMP", "10uF", "40 pins", "2N3904", "74LS00", "1N4148", "K", ".", ",", "10kk", "10 20"});
}

TEST_CASE("inductors and frequencies") {
  reads(ValueKind::inductance, {{"5.6uH", 5.6e-6}, {"3.3\xc2\xb5h", 3.3e-6}, {"2.2uH", 2.2e-6}, {"1mH", 1e-3}, {"10", 10e-6}, {"4R7", 4.7e-6}, {"4u7", 4.7e-6}, {"100nH", 100e-9}});
  refuses(ValueKind::inductance, {"CHOKE", "10pF", "~"});
  reads(ValueKind::frequency, {{"14.31818 Mhz", 14.31818e6}, {"21.47727 MHz", 21.47727e6}, {"16Mhz", 16e6}, {"32.768k", 32768}, {"32768", 32768}, {"3.579545", 3.579545e6}, {"4M9152", 4.9152e6},
                               {"ACO-25.175MHz-A", 25.175e6}, {"ACO-1.8432MHz-A", 1.8432e6}, {"8", 8e6}, {"3.58MC", 3.58e6}, {"455kHz", 455e3}, {"Xtal 4MHz", 4e6}});
  refuses(ValueKind::frequency, {"Crystal", "UART CLK", "~", "MHz", "10uF"});
}

TEST_CASE("the house form reads back to the same value") {
  for (const double exponent : {-12, -11, -10, -9, -8, -7, -6, -5, -4, -3, -2})
    for (const double digits : {1.0, 1.5, 2.2, 3.3, 4.7, 6.8}) {
      const double value = digits * std::pow(10.0, exponent);
      CAPTURE(value);
      CHECK(*parse_value(value_text(value, ValueKind::capacitance), ValueKind::capacitance) == doctest::Approx(value).epsilon(1e-6));
      CHECK(*parse_value(value_text(value, ValueKind::inductance), ValueKind::inductance) == doctest::Approx(value).epsilon(1e-6));
      CHECK(*parse_value(value_text(value * 1e9, ValueKind::resistance), ValueKind::resistance) == doctest::Approx(value * 1e9).epsilon(1e-6));
      CHECK(*parse_value(value_text(value * 1e12, ValueKind::frequency), ValueKind::frequency) == doctest::Approx(value * 1e12).epsilon(1e-6));
    }
  CHECK(value_text(4700, ValueKind::resistance) == "4.7k");
  CHECK(value_text(0, ValueKind::resistance) == "0");
  CHECK(value_text(1e6, ValueKind::resistance) == "1M");
  CHECK(value_text(25.175e6, ValueKind::frequency) == "25.175MHz");
  CHECK(value_text(14.31818e6, ValueKind::frequency) == "14.31818MHz");
  CHECK(value_text(0.01, ValueKind::capacitance) == "10000u");
}

TEST_CASE("hostile values are refused quietly") {
  CHECK(!parse_value(std::string(1000, '1'), ValueKind::resistance));
  CHECK(!parse_value(std::string(100000, 'k'), ValueKind::resistance));
  CHECK(!parse_value(std::string("10\0k", 4), ValueKind::resistance));
  CHECK(!parse_value("99999999999999999999", ValueKind::resistance));
}
