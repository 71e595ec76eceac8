// board/pin_lookup.h - which pin of a type a person means: by number or trade name, and how a text splits into part and pin.
//
// Errors:   not_found with "did you mean"; usage when several pins bear the name.
#pragma once
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"
#include "parts/part_type.h"

namespace halfsplit::board {

/// Index into type.pins of the pin called `text`: its number, else its trade name with or without the active-low mark; case ignored where that is
/// not ambiguous. `ref` is only for the message.
Result<std::uint16_t> find_type_pin(const parts::PartType& type, std::string_view text, std::string_view ref);

/// The ways to read a text as (part, pin), most likely first: "U5.8", "U5 pin 8", "U5-8", "U5 8".
std::vector<std::pair<std::string_view, std::string_view>> pin_splits(std::string_view text);

}  // namespace halfsplit::board
