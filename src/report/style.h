// report/style.h - how text answers look: width, colour, and the few inks used; meaning never hangs on colour alone.
#pragma once
#include <iosfwd>
#include <string>
#include <string_view>

namespace halfsplit::report {

struct Style {
  bool colour = false;
  std::size_t width = 80;  ///< columns; long lines are broken at blanks
};

enum class Ink { plain, strong, danger, faint };
/// The text in this ink, or as it is without colour.
std::string inked(std::string_view text, Ink ink, const Style& style);

/// One paragraph, broken at blanks; the first line begins with `first`, the others with as many blanks.
void paragraph(std::ostream& out, std::string_view text, const Style& style, std::string_view first = {});
/// The same, the whole of it in an ink.
void paragraph(std::ostream& out, std::string_view text, Ink ink, const Style& style, std::string_view first = {});

/// "3 readings", "1 reading".
std::string counted(std::size_t count, std::string_view one);
/// Bench minutes: "1 min", "1 h 20 min"; under half a minute "under 1 min".
std::string minutes(double value);

}  // namespace halfsplit::report
