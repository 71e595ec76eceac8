// board/contact_state.h - a jumper, link or switch with its contacts set: a type made from another one, as text.
//
// Errors:   usage when the type has other things than contacts, or no contact between the pins named.
#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "base/document.h"
#include "base/result.h"
#include "parts/library.h"

namespace halfsplit::board {

/// The type with its contacts set: "closed" (all), "open" (all), or "1-2": that contact closed, those sharing a pin with it open, the others as
/// they were. The id says what is closed: "jumper-2-closed".
Result<halfsplit::Node> type_with_contacts(const parts::PartType& type, std::string_view state);

/// The id of an equivalent of `type` in the library whose contacts are just so; nothing when there is none.
Result<std::optional<std::string>> equivalent_with_contacts(const parts::PartType& type, std::string_view state, const parts::Library& library);

}  // namespace halfsplit::board
