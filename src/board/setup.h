// board/setup.h - what the bench has done to the machine and not yet undone: power, plugs, a chip out, a pin lifted, two pins bridged, a key held.
//
// Shape:    a Setup is a sorted set of actions, usually 0 to 3; the empty setup is the complete machine, powered, untouched.
// Start at: Setup::with(), Action::describe().
#pragma once
#include <compare>
#include <string>
#include <vector>

#include "board/machine.h"

namespace halfsplit::board {

struct Action {
  enum class Kind : std::uint8_t {
    power_off,    ///< switched off and unplugged
    pull,         ///< part out of its socket (or unsoldered)
    lift,         ///< one pin freed from its net
    unplug,       ///< a mated connector apart
    bridge,       ///< two pins joined by a clip lead
    hold,         ///< a key or switch kept pressed
    force_low,    ///< a pin held low through about 10 ohm
    force_high,   ///< a pin held high through about 10 ohm
    open,         ///< a cover or lid off (word in `what`): access and safety, no electrical effect
    fit,          ///< another part sits in this place: that of place `from`, or the spare number `spare` brought for it (board/swap.h)
  };
  Kind kind = Kind::power_off;
  PartId part;       ///< pull, unplug, hold, fit (the place)
  PinId pin, other;  ///< lift, force (pin), bridge (both)
  std::string what;  ///< open: "lid"; fit of a spare: how good it is, "known-good"
  PartId from = {};  ///< fit: where the part belongs
  std::uint8_t spare = 0;  ///< fit: 0 = the part itself, 1.. = the spares tried in its place, in order
  friend auto operator<=>(const Action&, const Action&) = default;
  friend bool operator==(const Action&, const Action&) = default;
};
/// "U4 out", "U7.6 lifted", "power off".
std::string describe(const Action& action, const Machine& machine);

class Setup {
 public:
  Setup() = default;
  explicit Setup(std::vector<Action> actions);
  const std::vector<Action>& actions() const { return actions_; }
  bool powered() const;
  /// With one more action; forcing a pin the other way replaces the earlier force, a part in a place the one before. A bridge has no direction.
  Setup with(Action action) const;
  Setup without(const Action& action) const;
  bool has(Action::Kind kind) const;
  friend auto operator<=>(const Setup&, const Setup&) = default;
  friend bool operator==(const Setup&, const Setup&) = default;

 private:
  std::vector<Action> actions_;  ///< sorted, no duplicates
};
/// One line, "U4 out, lid off"; "complete, powered" when empty.
std::string describe(const Setup& setup, const Machine& machine);

}  // namespace halfsplit::board
