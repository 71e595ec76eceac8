// fault/cost.h - what a step at the bench costs in minutes; knowledge supplies it, plan and decide ask.
//
// Shape:    every figure in bench minutes for a hobbyist with the tool at hand; never negative.
// Start at: Costs.
#pragma once
#include "board/setup.h"
#include "fault/fault.h"
#include "observe/observation.h"

namespace halfsplit::fault {

class Costs {
 public:
  virtual ~Costs() = default;
  /// One reading of this kind at this point, the instrument being at hand.
  virtual double reading_minutes(observe::Kind kind, const observe::Point& point, const board::Machine& machine) const = 0;
  /// One more reading of this kind at another pin of the part where the tip is already.
  virtual double next_pin_minutes(observe::Kind) const { return 0.25; }
  /// To do one action (pull a chip, lift a pin, switch off); a part without a socket costs its unsoldering.
  virtual double action_minutes(const board::Action& action, const board::Machine& machine) const = 0;
  /// To take the action back (fit the chip again, solder the pin down, switch on).
  virtual double undo_minutes(const board::Action& action, const board::Machine& machine) const { return action_minutes(action, machine); }
  /// To mend everything that can be wrong at a site (replace the part, its joints included), without the try-out afterwards.
  virtual double repair_minutes(SiteId site, const Catalogue& catalogue, const board::Machine& machine) const = 0;
  /// To see whether the machine now works.
  virtual double tryout_minutes() const { return 2; }
  /// What it costs on average when none of the listed suspects was it and the search starts afresh.
  virtual double astray_minutes() const { return 120; }
};

}  // namespace halfsplit::fault
