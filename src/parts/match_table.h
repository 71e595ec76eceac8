// parts/match_table.h - the rules of match.toml: how parts lists write maker, role and kind of a part.
//
// Shape:    three lists of rules tried in order (footprint, value, reference); the first that fits wins.
// Start at: read_match_table(), MatchRule::fits() by way of match_type().
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/document.h"
#include "base/result.h"
#include "parts/match.h"

namespace halfsplit::parts {

struct MatchRule {
  std::string type;                     ///< base id; numbered types get their count
  std::string order;                    ///< names of pin 1, 2, ...: "E,B,C"; empty = none
  std::vector<std::string> footprint;   ///< patterns, any of them: * any, ? one letter, # one digit
  std::vector<std::string> value;       ///< patterns, any of them
  std::vector<std::string> reference;   ///< prefixes, any of them
  std::vector<std::pair<std::size_t, std::size_t>> pins;  ///< numbers of pins, from and to; empty = any
  std::optional<ValueKind> reads;       ///< the value must be readable as this
  std::optional<ValueKind> kind;        ///< how the value is written down when readable
  double at_least = 0;                  ///< of what `reads` reads, in SI units
  std::string ask, otherwise;           ///< what the description leaves open, and the type if the answer is no
};

struct MatchTable {
  std::vector<std::string> makers;      ///< letters before the number: "SN", "MC"
  std::vector<std::string> roles;       ///< words that say what a part does, not what it is: "CLOCK", "BUS"
  std::vector<MatchRule> by_footprint;  ///< tried first
  std::vector<MatchRule> by_value;      ///< after the numbers of the library
  std::vector<MatchRule> by_reference;  ///< last
};

Result<MatchTable> read_match_table(const halfsplit::Node& document);

/// `text` and `pattern` in lower case; * any letters, ? one letter, # one digit.
bool fits_pattern(std::string_view text, std::string_view pattern);

}  // namespace halfsplit::parts
