// cli/arguments.h - from argv to a Request; the only user of CLI11 is its .cpp.
//
// Errors:   usage, with the nearest command or the option that was not understood.
// Start at: read_arguments().
#pragma once
#include <string>
#include <variant>
#include <vector>

#include "base/result.h"
#include "cli/request.h"

namespace halfsplit::cli {

/// Text to print instead of doing something: help, version.
struct Told { std::string text; };
/// `arguments` without the program's name.
Result<std::variant<Request, Told>> read_arguments(const std::vector<std::string>& arguments);

}  // namespace halfsplit::cli
