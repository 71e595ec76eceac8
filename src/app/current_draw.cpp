#include "app/current_draw.h"

#include <algorithm>
#include <string_view>

namespace halfsplit::app {
namespace {

constexpr double kMosPerPin = 0.004, kOtherChip = 0.02;  ///< amperes
struct OfTechnology { std::string_view technology; double amps; };
constexpr OfTechnology kTechnologies[] = {{"LS", 0.012}, {"standard", 0.025}, {"S or F", 0.04}, {"HC or HCT", 0.002}, {"4000 or other CMOS", 0.002}, {"bus driver (8T type)", 0.06}};

bool takes_supply(const board::Part& part) {
  return std::any_of(part.type->pins.begin(), part.type->pins.end(), [](const auto& pin) { return pin.rail_v != 0; }) && part.pin_count >= 8;
}

double amps_of(const board::Part& part) {
  if (part.family)
    for (const OfTechnology& row : kTechnologies)
      if (part.family->technology == row.technology) return row.amps;
  return part.type->mos ? kMosPerPin * part.pin_count : kOtherChip;
}

}  // namespace

double usual_amps(const board::Machine& machine) {
  double sum = 0;
  for (const board::Part& part : machine.parts())
    if (part.fitted && !part.surroundings && takes_supply(part)) sum += amps_of(part);
  return sum;
}

}  // namespace halfsplit::app
