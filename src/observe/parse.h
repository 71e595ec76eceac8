// observe/parse.h - what people type: points, values, whole readings, bench states; a reading is never guessed.
//
// Errors:   usage with what was understood and how to type the rest, or not_found for a name the machine doesn't have.
// Start at: parse_reading("U5.8 4.31V", machine).
#pragma once
#include <string_view>
#include <vector>

#include "base/result.h"
#include "observe/observation.h"

namespace halfsplit::observe {

/// What was understood of a value and of the words behind it.
struct ParsedValue {
  Kind kind = Kind::probe;
  Value value;
  std::string condition;  ///< "after 15min", "under load"; empty = always
  Share share;
  std::string how;        ///< "scope", "meter"
  std::string cycle;      ///< "in cycle fetch": kind becomes triggered
  bool sure = false;      ///< "sure", "checked twice"
};
/// A value alone: "4.31 V", "4k7", "2,9A", "stuck low", "5.2-5.3 volts", "wanted 0f got 0b", "OL", "over 2V", and the kind of look that goes with it.
/// Words that mean different things at different points ("dead") get their first meaning. "weaker than U38.11" needs the machine.
Result<ParsedValue> parse_value(std::string_view text, const board::Machine* machine = nullptr);
/// "U5.8", "U5 pin 8", "IC12(20)", "U1P4", "J3.1-J4.2", "net A5", "R7", "U5.8 pad".
Result<Point> parse_point(std::string_view text, const board::Machine& machine);
/// One line: POINT VALUE [circumstance]. "U7 L P P P H - P G" goes round the chip and gives several observations.
Result<std::vector<Observation>> parse_reading(std::string_view line, const board::Machine& machine, const board::Setup& state);
/// "U4-out lid-off J3-unplugged power-off"; each word changes the state; "U4-in" takes one back.
struct StateLine {
  board::Setup now;
  std::vector<board::Action> done;  ///< what the line took apart or did, in its order; what it undid is not among it
  std::string remark;               ///< behind a colon
};
Result<StateLine> parse_state_line(std::string_view line, const board::Machine& machine, const board::Setup& now);
/// The set-up alone.
Result<board::Setup> parse_state(std::string_view line, const board::Machine& machine, const board::Setup& now);
/// "U14 replaced", "U5.8 resoldered", "J3 cleaned".
Result<Repair> parse_repair(std::string_view line, const board::Machine& machine);

}  // namespace halfsplit::observe
