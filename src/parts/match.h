// parts/match.h - from what is printed on a part or in a parts list to a type of the library and its family.
//
// Shape:    stages in order: what the footprint decides (connectors, keys, LEDs), numbers of the library, numbers and words of match.toml,
//           reference prefix. A type fits only when its pins do.
// Cost:     the first number that is no id reads the whole library once; then some microseconds a part.
// Start at: match_type(), parse_value(); rules in shared/parts/match.toml, format in docs/parts-format.md.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "parts/library.h"

namespace halfsplit::parts {

/// What a parts list says of one part; empty fields are not known.
struct PartDescription {
  std::string reference;  ///< "U5"
  std::string value;      ///< "SN74LS244N", "4K7", "HM62256ALSP"
  std::string footprint;  ///< "DIP-20_W7.62mm"
  std::size_t pin_count = 0;
  std::vector<std::string> pins;  ///< pin identifiers of the netlist, each once, where known: "1", "A", "S1"
};
struct TypeMatch {
  std::string type;    ///< id for Library::type(), with pins for its place: "74244", "header/16", "diode/K,A"
  std::string family;  ///< "LS"; empty = the type's own
  std::string value;   ///< normalised: "4.7k", "100n", "74LS244"
  std::string how;     ///< "number printed", "footprint", "value", "value and footprint", "prefix"
  std::string ask;        ///< what the description leaves open, as a question answered yes by `type`; empty = nothing
  std::string otherwise;  ///< the type when the answer is no
};
/// Classifies by value, footprint and pin count first, reference prefix last. Nothing when no type fits (number of pins must fit too).
std::optional<TypeMatch> match_type(const Library& library, const PartDescription& description);

/// A passive value in SI units ("4k7" on a resistor = 4700 ohm; ".1" on a capacitor = 1e-7 F), by the rules of the trade; nothing when unreadable.
enum class ValueKind { resistance, capacitance, inductance, frequency };
std::optional<double> parse_value(std::string_view text, ValueKind kind);
/// The house form: 4700 -> "4.7k", 1e-7 -> "100n".
std::string value_text(double value, ValueKind kind);

}  // namespace halfsplit::parts
