// plan/decide.h - measure on, or change the part: compared in expected minutes to a working machine.
//
// Idea:     repairing now costs the repairs in the order of p/c until the right one (the exact optimum for one fault, independent actions and
//           free checks: Joyce 1971, also Simon and Kadane 1975), and the search afresh when it was none of them. A test is worth its
//           minutes when the repairs that follow its outcomes cost that much less. Sites of one leaf share its weight.
// Start at: decide().
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "plan/next.h"

namespace halfsplit::plan {

struct DecideOptions {
  double repair_from = 0.95;     ///< share of all mass from which the top site is repaired once no test speaks against it
  double sure_from = 0.99;       ///< from here on without a verifying reading
};

struct Decision {
  enum class Act : std::uint8_t {
    measure,   ///< tests.front() is worth its minutes
    repair,    ///< mend `site`
    stop       ///< nothing to repair is found and no reading tells anything
  };
  Act act = Act::stop;
  std::optional<fault::SiteId> site;  ///< the site to repair first, were it now
  double p = 0;                       ///< that a fault sits there
  double repair_minutes = 0;          ///< expected to a working machine when repairing from now on
  double measure_minutes = 0;         ///< the same after the best test, its own minutes included
  std::string reason;
  std::vector<fault::Test> tests;     ///< best first; by the minutes they save where the verdict is near, else by information per minute
  std::optional<fault::Test> replace; ///< the repair of `site` written as a test, when p is high enough to be considered
};
Decision decide(const fault::Predictor& predictor, const fault::PriorOdds& priors, const fault::Ranking& ranking, const PlanOptions& options,
                const DecideOptions& thresholds = {});

/// Expected minutes when sites are repaired in the order of p/c; `p` need not sum to 1, the rest goes astray. Exposed for tests.
struct RepairChoice { double p = 0, minutes = 0; };
double expected_repair_minutes(std::vector<RepairChoice> choices, double astray_minutes);

}  // namespace halfsplit::plan
