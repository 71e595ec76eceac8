// cli/words.h - argv made safe for the option parser: a mistyped command is answered with the nearest one, and words that begin with a minus
// ("read J3.4 -5.06V") stay words.
#pragma once
#include <string>
#include <vector>

#include "base/result.h"

namespace halfsplit::cli {

/// All commands, in the order of the help.
const std::vector<std::string>& command_names();
/// True where --json stands among the options: errors of the line itself are then told as JSON too.
bool wants_json(const std::vector<std::string>& arguments);
/// The arguments in an order that the option parser can't misread; "help read" becomes "read --help". Error for an unknown command.
Result<std::vector<std::string>> sorted_arguments(const std::vector<std::string>& arguments);

}  // namespace halfsplit::cli
