// report/expect.h - what a good machine shows: part by part in the order of the pins, with the reason.
#pragma once
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/slip.h"

namespace halfsplit::report {

struct ExpectRow {
  std::string point;   ///< as typed: "U5.8", "+5V"
  std::string number;  ///< pin number; empty for nets and functions
  std::string name;    ///< "/OE"; the title of a function
  std::string net;
  std::string probe;   ///< "pulsing", "low or high"; empty = no prediction
  std::string volts;   ///< "4.75 to 5.25 V"; empty = no prediction
  double low_v = 0, high_v = 0;  ///< where volts is not empty
  std::string works;   ///< functions only: "works"
  std::string unpowered;  ///< with the machine off: "ohms" or "diode"; then `volts` holds the value with its unit, low_v and high_v its ends
  std::string why;     ///< "comes from U3.4 (/Y0)", "rail"
};
struct ExpectGroup {
  std::string title;  ///< "U5  74LS244 octal buffer", "Rails"
  std::vector<ExpectRow> rows;
};
struct Expect {
  Slip slip;
  std::string machine;
  std::vector<ExpectGroup> groups;
};
void print(std::ostream& out, const Expect& expect, const Style& style);
/// {schema, rows: [{point, kind, value, low, high, unit, ...}]}: one row a kind of look.
Json json_of(const Expect& expect);

}  // namespace halfsplit::report
