#include "board/value_kind.h"

namespace halfsplit::board {

std::optional<parts::ValueKind> value_kind(const parts::PartType& type) {
  for (const parts::Block& block : type.blocks) {
    switch (block.kind) {
      case parts::Template::resistor: return parts::ValueKind::resistance;
      case parts::Template::capacitor: return parts::ValueKind::capacitance;
      case parts::Template::inductor: return parts::ValueKind::inductance;
      case parts::Template::crystal:
      case parts::Template::oscillator: return parts::ValueKind::frequency;
      default: break;
    }
  }
  return std::nullopt;
}

}  // namespace halfsplit::board
