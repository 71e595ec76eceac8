// parts/part_number.h - what number a text on a part may mean: maker in front, package and speed behind, family letters inside.
//
// Start at: number_candidates(), logic_number().
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "parts/match_table.h"

namespace halfsplit::parts {

/// 74-series: "SN74LS244N" -> family LS, number 244. `bare`: the 74 was missing ("LS32").
struct LogicNumber {
  std::string family;   ///< id of the family
  std::string letters;  ///< as printed
  std::string number;
  bool bare = false;
};
std::optional<LogicNumber> logic_number(std::string_view token, const std::vector<Family>& families, const MatchTable& table);

/// Words of a value, in order: split at blanks, _ , / and brackets; nothing is left out.
std::vector<std::string> value_tokens(std::string_view value);

/// Numbers a token may stand for, the nearest to what is printed first: without maker, package, speed; last without a letter inside (65C02, 82C55).
struct NumberCandidate {
  std::string text;
  bool letter_removed = false;
};
std::vector<NumberCandidate> number_candidates(std::string_view token, const MatchTable& table);

/// True for numbers of complementary MOS versions: 65C02, 27C256, Z84C00, 63C09.
bool is_cmos_number(std::string_view token);

}  // namespace halfsplit::parts
