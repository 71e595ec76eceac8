// parts/pattern.h - the braces of part files: "{0..3}Y" stands for 0Y 1Y 2Y 3Y; every letter remembers where it came from.
//
// Shape:    all braces of one text run together and must be equally long; at most 256 texts come out.
// Start at: expand_pattern(), place_in().
#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace halfsplit::parts {

/// What is wrong with a text, at a byte of it.
struct TextTrouble {
  std::size_t offset = 0;
  std::string message;
  std::string hint;
};

/// One text made from a pattern; source[i] is the byte of the pattern that byte i came from, source.back() its end.
struct Expanded {
  std::string text;
  std::vector<std::uint32_t> source;
};

/// Expands the braces of `pattern`; a text without braces gives itself. On failure the list is empty and `trouble` is filled.
std::vector<Expanded> expand_pattern(std::string_view pattern, TextTrouble& trouble);

/// Place of byte `offset` of a one-line TOML text whose opening quote is at `quote`.
Place place_in(const Place& quote, std::string_view text, std::size_t offset);

}  // namespace halfsplit::parts
