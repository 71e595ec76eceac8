// base/scan.h - a look over TOML text before the parser sees it: what would crash or starve the parser is refused here, with its place.
//
// Refuses:  NUL bytes and other text that is not UTF-8, over 8 MiB, more than 32 dotted segments in a row, more than 32 open brackets,
//           outside strings and comments. (The parser recurses over both: 40,000 segments end an 8 MiB stack.)
// Cost:     two passes, near 400 MB/s: 4 % of what the parser takes.
#pragma once
#include <string>
#include <string_view>

#include "base/result.h"

namespace halfsplit {

inline constexpr std::size_t kMostDocumentBytes = std::size_t{8} << 20;
inline constexpr std::size_t kMostSegments = 32;
inline constexpr std::size_t kMostBrackets = 32;

/// Good when the text may be given to the parser; it can still be wrong TOML.
Status scan_document(std::string_view text, const std::string& file);
/// Offset of the first byte that is not part of valid UTF-8, or text.size().
std::size_t utf8_length(std::string_view text);
/// Line and column (code points) of a byte offset, counting from 1.
Place place_at(std::string_view text, std::size_t offset, const std::string& file);

}  // namespace halfsplit
