// netlist/ipc_units.h - which length one unit of a file is: what the header says, checked against the spacing of the pins.
//
// Idea:     pins that follow each other are 2.54 mm apart on most boards of the trade (or twice, three times that). Under the wrong unit hardly a pair
//           is, since 2.54 * 2.54 is no multiple. The stated unit wins unless the pins speak clearly against it.
#pragma once
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "netlist/netlist.h"

namespace halfsplit::netlist {

/// A pad in the file's own units.
struct UnitSample {
  std::string_view ref, pin;
  std::int32_t x = 0, y = 0;
};
struct UnitChoice {
  Units units = Units::tenth_mils;
  bool contradicts = false;  ///< the stated units were not believed
  double span_mm = 0;        ///< longer side of the area of all pads
};
UnitChoice choose_units(Units stated, std::vector<UnitSample> pads);

/// "SI", "CUST", "CUST 1": the value of the parameter UNITS.
Units units_named(std::string_view value);
double millimetres_per_unit(Units units);

}  // namespace halfsplit::netlist
