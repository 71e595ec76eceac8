// app/tools.h - the instruments a person has said to have, as kinds of look that may be proposed.
//
// Start at: read_tools(), kinds_of().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "observe/observation.h"

namespace halfsplit::app {

/// The word with which a person says to be trained for mains and picture tubes.
inline constexpr char kQualified[] = "mains-trained";

/// "meter, probe and no scope" -> words in a fixed order; "no-probe" alone takes it away from the usual ones. usage for an unknown instrument, with
/// "did you mean".
Result<std::vector<std::string>> read_tools(std::string_view text);
/// What may be proposed with these; none told: a meter and a logic probe. Looking, feeling and trying the machine need no instrument.
std::vector<observe::Kind> kinds_of(const std::vector<std::string>& tools);
/// What one instrument sees; empty for a word that is none.
std::vector<observe::Kind> kinds_of_tool(std::string_view word);
bool is_qualified(const std::vector<std::string>& tools);

}  // namespace halfsplit::app
