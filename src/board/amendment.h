// board/amendment.h - the board on the bench differs from the board in the file: one line each, applied by rebuilding the machine.
//
// Lines:    jumper JP1 closed|open|1-2   missing U8   net U7.4 = PH2   wire U3.4 U7.2   cut U3.4 U7.2   lift Q3.e   add R90 470R Q3.e U9.2
//           join U1.14 U2.11 [likely 0.97]   value R12 1k   fit U9 74hct245; `ours`, `found` or `drawing` in front says where the difference comes from.
//           As people say it: C8 missing   Q3.e lifted   U3.4 cut   JP1 open   U9 74hc157   X1 14.318MHz.
// Errors:   a line that names nothing on this machine: not_found with place and hint; nothing is changed then.
// Start at: parse_amendment(), amend(); what each line does is in docs/board-format.md.
#pragma once
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "board/spec.h"

namespace halfsplit::board {

struct Amendment {
  /// `becomes`: a value or another type, by what the part is ("X1 14.318MHz", "U9 74hc157").
  enum class Kind : std::uint8_t { jumper, missing, net, join, wire, cut, lift, add, value, fit, becomes };
  enum class Origin : std::uint8_t { found, ours, drawing_was_wrong };
  Kind kind = Kind::wire;
  Origin origin = Origin::found;
  std::vector<std::string> words;  ///< what follows the kind: references, pins, net, value (blanks within the last)
  std::string typed;               ///< the whole line
  Place place;
};
/// The word of a kind: "jumper"; empty for `becomes`, which has none.
const char* name_of(Amendment::Kind kind) noexcept;
/// "found", "ours", "drawing was wrong".
const char* title_of(Amendment::Origin origin) noexcept;
/// "U8 not fitted", "wire from U3.4 to U7.2".
std::string describe(const Amendment& amendment);
/// The same change, whosoever's it is.
bool same_change(const Amendment& a, const Amendment& b);
/// One line; `#` at its start or behind a blank starts a comment, an empty line is usage.
Result<Amendment> parse_amendment(std::string_view line, const Place& place = {});
/// All lines of an `.amend` text; comments and blank lines skipped; up to 20 errors.
Result<std::vector<Amendment>> parse_amendments(std::string_view text, const std::string& file);
/// The spec with the amendments applied in order, after its kept corrections and the default answers of its questions unless those are in already.
/// The result is marked `amended`.
Result<MachineSpec> amend(MachineSpec spec, const std::vector<Amendment>& amendments, const parts::Library& library);

/// By pin as written: the chance that it is elsewhere, of every pin behind the first of a `join`; 0 where it was joined without `likely`.
std::map<std::string, double> likely_doubts(const std::vector<std::string>& lines);

}  // namespace halfsplit::board
