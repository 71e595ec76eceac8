// board/toml_text.h - TOML written by hand-editing habits: bare keys where they can be, one-line lists, tables last.
//
// Errors:   none; what can't be said (infinity) is a broken promise.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/document.h"

namespace halfsplit::board {

/// In double quotes, escaped.
std::string toml_quoted(std::string_view text);
/// Bare when it may be, else quoted.
std::string toml_key(std::string_view key);
/// Shortest text that reads back to the same double. Needs a finite value.
std::string toml_number(double value);
/// ["a", "b"], broken into lines where it is longer than `width`.
std::string toml_list(const std::vector<std::string>& quoted_items, std::size_t width = 120);
/// A whole document: plain values first, then tables and lists of tables under their headers.
std::string toml_document(const halfsplit::Node& table);

}  // namespace halfsplit::board
