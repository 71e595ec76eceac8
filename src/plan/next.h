// plan/next.h - which reading next: expected information about the site to repair per minute at the bench, isolating tests included.
//
// Shape:    rows = the most probable hypotheses, columns = every point and kind the predictor offers in the set-ups worth making.
// Owns:     nothing; costs and cautions are the caller's.
// Errors:   none; an empty list means that no reading tells anything.
// Cost:     one step per row and set-up; 64 rows x 4,000 columns about 10 ms beside the simulation.
// Start at: next_tests(); decide() in plan/decide.h for test or repair.
#pragma once
#include <functional>
#include <string>
#include <vector>

#include "fault/cost.h"
#include "fault/predictor.h"
#include "fault/prior.h"
#include "fault/ranking.h"

namespace halfsplit::plan {

struct PlanOptions {
  board::Setup now;                    ///< the bench as it is
  std::vector<observe::Kind> kinds = {observe::Kind::probe};  ///< what the instruments at hand can look at
  std::vector<fault::Evidence> asked;  ///< readings taken so far; a point is offered at most twice, and what it showed is expected again
  const fault::Costs* costs = nullptr; ///< nothing: a minute a reading, two an action, thirty a repair
  /// What has to be said before this test; empty = nothing. Not set: no cautions.
  std::function<std::string(const fault::Query&)> caution;
  /// False for what must not be proposed (a zone the user has not been cleared for). Not set: everything may.
  std::function<bool(const fault::Query&)> permitted;
  std::vector<fault::SiteId> spared;   ///< sites not to be mended (a defect that stays, a function not wanted), sorted: neither hunted nor repaired
  bool isolate = true;                 ///< chips may be pulled and pins lifted
  bool sweeps = true;                  ///< walks round a chip may be proposed
  bool spares = false;                 ///< good parts of the kinds on the board are at hand
  bool safety_order = true;            ///< with nothing measured yet: power-off before power-on, rails before signals
  bool shown_life = false;             ///< some function has been seen to work: the rails have been on
  double reading_doubt = 0.02;         ///< chance that the next reading is wrong
  double verify_share = 0.95;          ///< from this share of the found weight on, the verdict is tested instead of the tail
  std::size_t tests = 5;               ///< how many to hand back
  std::size_t rows = 256;               ///< hypotheses simulated
  std::uint64_t steps = 4000;          ///< simulations at most
};

/// Best first. `priors` is for callers that rank and plan with one set of arguments; the ranking holds all that counts.
std::vector<fault::Test> next_tests(const fault::Predictor& predictor, const fault::PriorOdds& priors, const fault::Ranking& ranking,
                                    const PlanOptions& options);

}  // namespace halfsplit::plan
