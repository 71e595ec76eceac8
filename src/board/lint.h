// board/lint.h - what is doubtful in a machine's text: single-pin nets, undriven inputs, custom types, wrong rails, functions nothing feeds.
#pragma once
#include <string>
#include <vector>

#include "board/machine.h"

namespace halfsplit::board {

struct Finding {
  enum class Grade : std::uint8_t { error, warning, note };
  Grade grade = Grade::warning;
  std::string kind;     ///< "single-pin-net", "undriven-input", "custom-type", "wrong-rail", "unfed-function", "no-rate", "fight", "floating", ...
  std::string message;  ///< one sentence with the parts and nets concerned
  std::string hint;
  std::vector<PinId> pins;
};
/// Structural findings, worst first, then in natural order of the parts.
std::vector<Finding> lint(const Machine& machine);

}  // namespace halfsplit::board
