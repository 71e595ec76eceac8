// parts/expression.h - a boolean expression over the pins of one part; a pin stands for "its level is high".
//
// Shape:    nodes in postfix order; the last node is the root; operands are indices of earlier nodes.
// Errors:   parse: bad_input whose place points at the character inside the string.
// Start at: parse_expression(); syntax: ! & | ^ ( ) 0 1 and pin names without their active-low slash.
#pragma once
#include <cstdint>
#include <functional>
#include <optional>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace halfsplit::parts {

struct Expression {
  enum class Op : std::uint8_t { constant, pin, negate, conjunction, disjunction, exclusive };
  struct Node {
    Op op = Op::constant;
    bool constant = false;            ///< op constant
    std::uint16_t pin = 0;            ///< op pin: index into PartType::pins
    std::vector<std::uint16_t> args;  ///< operands: indices of earlier nodes; negate has one, the others two or more
  };
  std::vector<Node> nodes;
  bool empty() const noexcept { return nodes.empty(); }
  /// True when the expression is one pin, possibly negated once.
  bool is_literal() const noexcept;
};

/// Index of a pin by name (the active-low slash left out), or nothing.
using PinLookup = std::function<std::optional<std::uint16_t>(std::string_view)>;
Result<Expression> parse_expression(std::string_view text, const PinLookup& lookup, const Place& place);
/// Two-valued evaluation; `level(pin)` gives each pin's level.
bool evaluate(const Expression& expression, const std::function<bool(std::uint16_t)>& level);

}  // namespace halfsplit::parts
