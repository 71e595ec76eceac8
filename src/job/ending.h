// job/ending.h - how a job stands: open, or closed with an outcome and the culprits found; written as the line of a `close` command.
//
// Text:     OUTCOME [PLACE [MODE]][, PLACE [MODE]]...[: note]     "proven U14 output-stuck-low, C3: both corroded by the cell"
//           PLACE is a part or a pin ("U14", "U5.8"), MODE an id of a failure mode; whether they exist is for the machine's catalogue to say.
// Start at: parse_ending(), ending_of().
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "job/line.h"

namespace halfsplit::job {

enum class Outcome {
  open,
  proven,            ///< mended, and the cause shown
  working_unproven,  ///< works again; what it was is not proven
  partly,            ///< works in part
  waiting,           ///< for a spare part: stays open
  unrepaired,        ///< handed back as it was
  parts,             ///< kept for its parts
  came_back          ///< returned after closing: open again, with its history
};
const char* name_of(Outcome outcome) noexcept;  ///< "working-unproven"; stable
std::optional<Outcome> outcome_named(std::string_view word);
/// No further readings until it comes back: proven, working_unproven, partly, unrepaired, parts.
bool is_closed(Outcome outcome) noexcept;

struct Culprit {
  std::string place;  ///< "U14", "U5.8", "outside"
  std::string mode;   ///< may be empty
  friend bool operator==(const Culprit&, const Culprit&) = default;
};
struct Ending {
  Outcome outcome = Outcome::open;
  std::vector<Culprit> culprits;
  std::string note;
  std::string when;  ///< of the line
  friend bool operator==(const Ending&, const Ending&) = default;
};
/// usage: unknown outcome (with "did you mean"), more than two words a culprit, `open`.
Result<Ending> parse_ending(std::string_view text);
std::string write_ending(const Ending& ending);
/// Of the last `close` line; open when there is none.
Ending ending_of(const std::vector<Line>& lines);

}  // namespace halfsplit::job
