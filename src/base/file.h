// base/file.h - whole files in and out, never half of one.
//
// Errors:   not_found, bad_input (a directory, over 64 MiB), store (can't be written).
#pragma once
#include <string>
#include <string_view>

#include "base/result.h"

namespace halfsplit {

inline constexpr std::size_t kMostFileBytes = std::size_t{64} << 20;

/// Reads a whole file (64 MiB at most). not_found / bad_input.
Result<std::string> read_file(const std::string& path);
/// Writes through a temporary file and rename, so a reader never sees half a file.
Status write_file(const std::string& path, std::string_view text);

}  // namespace halfsplit
