// job/expectation.h - what a case expects at one point of a repair: a suspect, the next test, an error.
//
// Text:     suspect PLACE [first | within N] [at-least P] [at-most P] [mode MODE]
//           outside [at-least P] [at-most P]
//           next POINT by KIND [first | within N]        KIND as job/words.h has it: probe, volts-dc, touch...
//           error TEXT                                   the line above is refused, and the message holds TEXT
// Errors:   usage with what may be typed.
// Start at: parse_expectation().
#pragma once
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "observe/observation.h"

namespace halfsplit::job {

struct Expectation {
  enum class What { suspect, outside, next, error };
  What what = What::suspect;
  std::string subject;                ///< suspect: part or other site; next: point; error: text
  observe::Kind kind = observe::Kind::probe;  ///< next
  std::string mode;                   ///< suspect: its likeliest mode; may be empty
  std::optional<std::size_t> within;  ///< rank, counted from 1; ties count as the better rank
  std::optional<double> at_least, at_most;  ///< probability, 0..1
  friend bool operator==(const Expectation&, const Expectation&) = default;
};
Result<Expectation> parse_expectation(std::string_view text);
/// As it is typed; parse_expectation() gives the same again.
std::string write_expectation(const Expectation& expectation);

}  // namespace halfsplit::job
