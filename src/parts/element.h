// parts/element.h - the two-ended elements of a part (contacts, resistors of an array, diodes of a bridge), counted over its blocks in file order.
//
// Start at: elements().
#pragma once
#include <cstdint>
#include <vector>

#include "parts/part_type.h"

namespace halfsplit::parts {

struct Element {
  Template kind = Template::contact;
  std::uint16_t a = 0, b = 0;  ///< indices into PartType::pins; diode: anode, cathode
};

/// Contact, resistor, capacitor, inductor, diode and crystal blocks; where one list is shorter its last pin is common.
std::vector<Element> elements(const PartType& type);

}  // namespace halfsplit::parts
