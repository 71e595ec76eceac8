// base/text.h - small text helpers: trim, split, case, edit distance and "did you mean"; ASCII rules, UTF-8 passes through.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace halfsplit {

std::string_view trim(std::string_view text);
std::string lower(std::string_view text);
std::string upper(std::string_view text);
std::vector<std::string_view> split(std::string_view text, char separator);
/// Splits at runs of blanks and tabs; no empty pieces.
std::vector<std::string_view> words(std::string_view text);
bool starts_with(std::string_view text, std::string_view head);
bool ends_with(std::string_view text, std::string_view tail);
std::string join(const std::vector<std::string>& pieces, std::string_view separator);
/// Natural order for references: "U2" < "U10"; compares runs of digits by value.
bool natural_less(std::string_view a, std::string_view b);
/// Damerau-Levenshtein distance (adjacent swaps count one), in bytes.
std::size_t edit_distance(std::string_view a, std::string_view b);
/// The nearest candidate within a third of the word's length (at least 1, case ignored); ties go to the first.
std::optional<std::string> did_you_mean(std::string_view word, const std::vector<std::string>& candidates);
/// A name from outside as an error message shows it: in double quotes, control characters escaped, cut after 60 characters.
std::string in_quotes(std::string_view text);
/// Columns a terminal needs (grapheme clusters, East Asian width; utf8proc).
std::size_t display_width(std::string_view text);
/// Pads with blanks on the right to `width` columns.
std::string padded(std::string_view text, std::size_t width);
/// Number as people read it: at most `digits` significant digits, no trailing zeros, no exponent between 1e-4 and 1e9.
std::string shown(double value, int digits = 4);
/// Value with engineering prefix: shown_with_unit(0.0047, "F") = "4.7 mF".
std::string shown_with_unit(double value, std::string_view unit, int digits = 4);

}  // namespace halfsplit
