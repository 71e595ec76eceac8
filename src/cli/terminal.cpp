#include "cli/terminal.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <cstdlib>

#include "base/text.h"

namespace halfsplit::cli {
namespace {

constexpr std::size_t kUsual = 80, kLeast = 40, kMost = 200;

bool set(const Surroundings& surroundings, const char* name) {
  const auto value = surroundings.variable(name);
  return value && !value->empty();
}

bool forced(const Surroundings& surroundings) {
  for (const char* name : {"FORCE_COLOR", "CLICOLOR_FORCE"})
    if (set(surroundings, name) && *surroundings.variable(name) != "0") return true;
  return false;
}

bool wants_colour(const Surroundings& surroundings, const std::string& color) {
  if (color != "auto") return color == "always";
  if (set(surroundings, "NO_COLOR")) return false;
  if (forced(surroundings)) return true;
  const auto term = surroundings.variable("TERM");
  return surroundings.is_terminal && term && !term->empty() && *term != "dumb";
}

std::size_t width_of(const Surroundings& surroundings) {
  std::size_t width = 0;
  if (const auto columns = surroundings.variable("COLUMNS")) std::from_chars(columns->data(), columns->data() + columns->size(), width);
  if (width == 0) width = surroundings.terminal_width;
  return width == 0 ? kUsual : std::clamp(width, kLeast, kMost);
}

}  // namespace

Surroundings surroundings_of(int stream) {
  Surroundings out;
  out.variable = [](const char* name) -> std::optional<std::string> {
    const char* value = std::getenv(name);
    return value ? std::optional<std::string>(value) : std::nullopt;
  };
  out.is_terminal = isatty(stream) == 1;
  winsize size{};
  if (out.is_terminal && ioctl(stream, TIOCGWINSZ, &size) == 0) out.terminal_width = size.ws_col;
  return out;
}

report::Style style_for(const Surroundings& surroundings, const std::string& color) { return {wants_colour(surroundings, color), width_of(surroundings)}; }

bool speaks_utf8(const Surroundings& surroundings) {
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    if (!set(surroundings, name)) continue;
    const std::string value = lower(*surroundings.variable(name));
    return value.find("utf-8") != std::string::npos || value.find("utf8") != std::string::npos;
  }
  return false;
}

std::string plain_characters(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte < 0x80) {
      out += text[i];
    } else if (byte >= 0xc0) {
      out += text.compare(i, 2, "\u00b5") == 0 ? 'u' : '?';
    }
  }
  return out;
}

}  // namespace halfsplit::cli
