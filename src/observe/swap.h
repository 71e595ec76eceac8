// observe/swap.h - a swap as typed: "U4 U7", "U4 spare known good: unchanged", "U4 elsewhere works", "U4 back".
//
// Errors:   usage for unlike parts (with the reason), parts that are out or not fitted, words that were not understood; not_found for unknown names.
// Start at: parse_swap().
#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "board/swap.h"
#include "observe/history.h"

namespace halfsplit::observe {

/// What the machine did afterwards.
enum class SwapOutcome : std::uint8_t {
  untold,
  unchanged,  ///< everything as before
  changed,    ///< not as before, and not right either, or not told
  cured,      ///< what was wrong is right now
  moved       ///< the fault went with the part
};

struct Swap {
  enum class Way : std::uint8_t {
    none,       ///< only an outcome: of the parts as they sit now
    exchange,   ///< two like parts
    spare,      ///< a spare in the place
    back,       ///< own parts back
    elsewhere   ///< the part tried in another machine
  };
  Way way = Way::none;
  board::PartId part, with;        ///< as far as the way has them
  board::Setup now;                ///< the bench afterwards
  std::string grade;               ///< of the spare: new, known-good, tested, untested
  SwapOutcome outcome = SwapOutcome::untold;
  bool works = false;              ///< elsewhere
};

/// `history` tells the bench as it is and how many spares have been tried.
Result<Swap> parse_swap(std::string_view line, const board::Machine& machine, const History& history);

/// Places of the spares tried so far, in the order in which they came.
std::vector<board::PartId> spares_in(const History& history);
/// Grade of the spare of that number for the place; untested where it is not known.
std::string grade_of_spare(board::PartId place, std::uint8_t number, const History& history);

}  // namespace halfsplit::observe
