// cli/terminal.h - what the outside says about the terminal: colour, width, characters.
//
// Rules:    colour: --color, then NO_COLOR (not empty), FORCE_COLOR or CLICOLOR_FORCE, TERM=dumb, then whether the stream is a terminal. Width: COLUMNS,
//           then the terminal, then 80. Text outside ASCII only where LC_ALL, LC_CTYPE or LANG says UTF-8.
#pragma once
#include <functional>
#include <optional>
#include <string>

#include "report/style.h"

namespace halfsplit::cli {

/// The outside as values, so that it can be made up in tests.
struct Surroundings {
  std::function<std::optional<std::string>(const char*)> variable;
  bool is_terminal = false;
  std::size_t terminal_width = 0;  ///< 0 = not known
};
/// Of this process, for stdout (1) or stderr (2).
Surroundings surroundings_of(int stream);

/// `color`: auto, always, never.
report::Style style_for(const Surroundings& surroundings, const std::string& color);
bool speaks_utf8(const Surroundings& surroundings);
/// The text in ASCII: micro becomes u, everything else outside ASCII a question mark.
std::string plain_characters(const std::string& text);

}  // namespace halfsplit::cli
