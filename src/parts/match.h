// parts/match.h - from what is printed on a part or in a parts list to a type of the library and its family.
#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "parts/library.h"

namespace halfsplit::parts {

/// What a parts list says of one part; empty fields are not known.
struct PartDescription {
  std::string reference;  ///< "U5"
  std::string value;      ///< "SN74LS244N", "4K7", "HM62256ALSP"
  std::string footprint;  ///< "DIP-20_W7.62mm"
  std::size_t pin_count = 0;
};
struct TypeMatch {
  std::string type;    ///< library id
  std::string family;  ///< "LS"; empty = the type's own
  std::string value;   ///< normalised: "4.7k", "100n", "74LS244"
  std::string how;     ///< "number printed", "value and footprint", "prefix"
};
/// Classifies by value, footprint and pin count first, reference prefix last. Nothing when no type fits (number of pins must fit too).
std::optional<TypeMatch> match_type(const Library& library, const PartDescription& description);

/// A passive value in SI units ("4k7" on a resistor = 4700 ohm; ".1" on a capacitor = 1e-7 F), by the rules of the trade; nothing when unreadable.
enum class ValueKind { resistance, capacitance, inductance, frequency };
std::optional<double> parse_value(std::string_view text, ValueKind kind);
/// The house form: 4700 -> "4.7k", 1e-7 -> "100n".
std::string value_text(double value, ValueKind kind);

}  // namespace halfsplit::parts
