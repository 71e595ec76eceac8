// board/value_kind.h - what the value beside a part means: ohms of a resistor, hertz of a crystal.
#pragma once
#include <optional>

#include "parts/match.h"
#include "parts/part_type.h"

namespace halfsplit::board {

/// By the first block of the type that has a value; nothing for parts without one.
std::optional<parts::ValueKind> value_kind(const parts::PartType& type);

}  // namespace halfsplit::board
