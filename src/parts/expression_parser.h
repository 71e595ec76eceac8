// parts/expression_parser.h - the parser behind parse_expression(), telling the byte where it stopped.
#pragma once
#include <string>
#include <string_view>
#include <variant>

#include "parts/expression.h"
#include "parts/pattern.h"

namespace halfsplit::parts {

/// Says what to write instead of a name that is no pin; may be empty.
using PinHint = std::function<std::string(std::string_view)>;
std::variant<Expression, TextTrouble> parse_expression_text(std::string_view text, const PinLookup& lookup, const PinHint& hint);
/// Letters of pin names: letters, digits, _ . + - '
bool is_name_letter(char c) noexcept;

}  // namespace halfsplit::parts
