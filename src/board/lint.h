// board/lint.h - what is doubtful in a machine's text: single-pin nets, undriven inputs, custom types, wrong rails, functions nothing feeds.
//
// Shape:    what can be told from the drawing alone, without any activity; parts not fitted don't count.
// Start at: lint().
#pragma once
#include <string>
#include <vector>

#include "board/machine.h"

namespace halfsplit::board {

struct Finding {
  enum class Grade : std::uint8_t { error, warning, note };  ///< worst first
  Grade grade = Grade::warning;
  /// From lint(): "wrong-rail", "no-ground", "two-outputs", "undriven-input", "floating-input", "unfed-function", "custom-type", "unread-value",
  /// "single-pin-net", "unconnected-part". Others add theirs: "no-rate" (knowledge), "fight", "floating" (activity).
  std::string kind;
  std::string message;  ///< one sentence with the parts and nets concerned
  std::string hint;
  std::vector<PinId> pins;
};
/// Structural findings, worst first, then in natural order of the parts.
std::vector<Finding> lint(const Machine& machine);

}  // namespace halfsplit::board
