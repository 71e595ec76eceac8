// observe/number_reader.h - one number as typed, with decimal comma, thousands, leading point, wildcard digits, and a letter for the point (4k7).
#pragma once
#include <string_view>

#include "observe/typed.h"

namespace halfsplit::observe {

struct ReadNumber { Amount amount; std::size_t length = 0; };  ///< length 0: no number here

/// Reads the number at the front of `text` (a sign included) and a unit glued to it. A number followed by letters that are no unit is no number ("3BFB").
ReadNumber read_number(std::string_view text);

}  // namespace halfsplit::observe
