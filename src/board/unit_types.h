// board/unit_types.h - the part types of one unit: its own, then those of the library; pins made where a type has none of its own.
//
// Owns:     nothing of the types: the library keeps those it adopts.
// Errors:   bad_input at the part's place, "did you mean" over both.
// Start at: UnitTypes::of().
#pragma once
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "board/spec.h"

namespace halfsplit::board {

class UnitTypes {
 public:
  /// Adopts the unit's own types; what is wrong with them goes to `errors`.
  UnitTypes(const UnitSpec& unit, const parts::Library& library, Errors& errors);
  /// One more type of the unit's own; replaces one of the same id.
  Status adopt(const halfsplit::Node& document);
  /// The type of a part. `net_pins`: pins that the nets name on it, the pins of a numbered type where the part lists none itself.
  Result<const parts::PartType*> of(const PartSpec& part, const std::vector<std::string>& net_pins) const;

 private:
  Error unknown(const PartSpec& part) const;
  std::map<std::string, const parts::PartType*, std::less<>> own_;
  const parts::Library& library_;
};

/// Pins that the nets of a unit name, by part, in file order, each once.
std::map<std::string, std::vector<std::string>, std::less<>> pins_in_nets(const UnitSpec& unit);

}  // namespace halfsplit::board
