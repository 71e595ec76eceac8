// board/part_line.h - the short forms inside strings of the board files: a part in a few words, lists of pins, pin places.
//
// Errors:   offset of the character inside the string where it goes wrong, and why.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board/spec.h"

namespace halfsplit::board {

/// "resistor 4.7k", "74244 LS", "74244 LS 74LS244N", "header/16": type, family (one to five capitals), value (the rest).
struct ShortPart { std::string type, family, value; };
ShortPart parse_short_part(std::string_view text);
/// The short form, or nothing where it would read back differently.
std::optional<std::string> short_part_text(const ShortPart& part);

/// A piece of a list and the offset of its first byte.
struct Piece { std::string_view text; std::size_t offset = 0; };
/// Splits at blanks.
std::vector<Piece> pieces_of(std::string_view text);

/// "1..16 A1..A4 GND": the pins in order.
std::vector<std::string> parse_pin_list(std::string_view text);
/// Runs of three and more become ranges.
std::string pin_list_text(const std::vector<std::string>& pins);

/// True when a reference can be written in these files: not empty; no blank, control character, nor any of . / ~ , @ =
bool is_reference(std::string_view ref);

}  // namespace halfsplit::board
