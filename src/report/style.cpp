#include "report/style.h"

#include <fmt/core.h>

#include <cmath>
#include <ostream>

#include "base/text.h"

namespace halfsplit::report {
namespace {

constexpr std::size_t kNarrowest = 24;

const char* code_of(Ink ink) {
  switch (ink) {
    case Ink::plain: return "";
    case Ink::strong: return "\x1b[1m";
    case Ink::danger: return "\x1b[1;31m";
    case Ink::faint: return "\x1b[2m";
  }
  return "";
}

}  // namespace

std::string inked(std::string_view text, Ink ink, const Style& style) {
  if (!style.colour || ink == Ink::plain || text.empty()) return std::string(text);
  return code_of(ink) + std::string(text) + "\x1b[0m";
}

void paragraph(std::ostream& out, std::string_view text, Ink ink, const Style& style, std::string_view first) {
  const std::size_t indent = display_width(first), room = std::max(style.width, indent + kNarrowest) - indent;
  std::string head(first), line;
  const auto put = [&] {
    out << inked(head + line, ink, style) << '\n';
    head.assign(indent, ' ');
    line.clear();
  };
  for (const std::string_view word : split(text, ' ')) {
    if (!line.empty() && display_width(line) + 1 + display_width(word) > room) put();
    if (!line.empty()) line += ' ';
    line += word;
  }
  put();
}

void paragraph(std::ostream& out, std::string_view text, const Style& style, std::string_view first) { paragraph(out, text, Ink::plain, style, first); }

std::string counted(std::size_t count, std::string_view one) { return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s"); }

std::string minutes(double value) {
  if (value < 0.5) return "under 1 min";
  const long whole = std::lround(value);
  if (whole < 60) return fmt::format("{} min", whole);
  return whole % 60 == 0 ? fmt::format("{} h", whole / 60) : fmt::format("{} h {} min", whole / 60, whole % 60);
}

}  // namespace halfsplit::report
