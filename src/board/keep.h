// board/keep.h - a correction of the drawing written into machine.toml, the rest of the file left as its owner wrote it.
//
// Errors:   those of reading and writing; bad_input when the file would not read as the same machine with one correction more.
// Start at: keep_amendment().
#pragma once
#include <string>
#include <string_view>

#include "base/result.h"

namespace halfsplit::board {

/// The text of a machine.toml with one line more in its list of amendments; comments and order stay.
std::string with_amendment(std::string_view machine_toml, std::string_view line);

/// Adds the line to the folder's machine.toml, and reads the file back before it is written.
Status keep_amendment(const std::string& folder, std::string_view line);

}  // namespace halfsplit::board
