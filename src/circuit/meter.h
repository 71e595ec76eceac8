// circuit/meter.h - what a multimeter shows between two nodes: loaded DC volts, ohms in circuit, diode test, continuity, supply current.
//
// Idea:     volts: the open-circuit value loaded with 10 Mohm through the source resistance. Ohms: the machine off; the meter is 0.6 V behind 1.4
//           times its range, so that full scale stands at 0.25 V and no more than 0.6 V ever come to the part; the range is the smallest that shows
//           the value. Diode test: 1 mA, up to 2 V. Charged capacitors and the first seconds of a reading lie outside (a DC model).
// Cost:     volts: one solution a condition, then one back-substitution a pair of tips, and none where what changes lies in another island and leaves
//           the rails where they are; ohms: a condition that doesn't disturb what flows in the healthy circuit takes the healthy reading, others one or
//           two solutions.
// Errors:   Reading::known is false where the circuit has no model or no solution.
// Threads:  one meter a thread.
// Start at: Meter.
#pragma once
#include <map>
#include <memory>
#include <vector>

#include "circuit/islands.h"
#include "circuit/overlay.h"
#include "circuit/solver.h"

namespace halfsplit::circuit {

inline constexpr double kMeterOhms = 10e6, kOhmsVolts = 0.6, kOhmsFullScale = 0.25, kMostMeterOhms = 20e6;
inline constexpr double kDiodeVolts = 2.8, kDiodeAmps = 1e-3, kDiodeMost = 2.0;
inline constexpr double kBeepOhms = 50;          ///< continuity: beeps below; meters differ by half of it

struct Tips { NodeIndex plus = kGround, minus = kGround; friend auto operator<=>(const Tips&, const Tips&) = default; };

struct Reading {
  bool known = false;
  bool over = false;        ///< beyond the meter's reach: it shows OL
  double value = 0;         ///< volts, ohms or amperes
  double spread = 0;        ///< one standard deviation from the tolerances of the parts; the meter's own is not in it
  double own_ohm = 0;       ///< ohms: what stands in the meter, by its range
  double source_ohm = 0;    ///< volts: what stands behind the point; above 10 Mohm it floats, reads about 0 and drifts
};

class Meter {
 public:
  /// `levels`: what the outputs of chips do on the healthy machine, by NetId. `stiff_v`: a fault in another island that moves the rails by less than this
  /// (by a linear estimate) leaves a point as it was; 0: every fault is solved.
  Meter(const board::Machine& machine, Levels levels, double stiff_v = 0.02);
  const Circuit& circuit() const { return on_.circuit; }
  const Levels& levels() const { return levels_; }
  /// One for each pair of tips; `levels` of the condition may differ from the healthy ones.
  std::vector<Reading> volts(const Condition& condition, std::size_t strength, const std::vector<Tips>& tips);
  /// Whether the condition may move the volts between each pair of tips at all; where it may not, they are those of the healthy machine.
  std::vector<bool> reached(const Condition& condition, std::size_t strength, const std::vector<Tips>& tips);
  Reading ohms(const Condition& condition, std::size_t strength, Tips tips);
  Reading diode(const Condition& condition, std::size_t strength, Tips tips);
  /// Out of a supply from outside: all that the part feeds.
  Reading current(const Condition& condition, std::size_t strength, board::PartId supply);

 private:
  struct Side {
    Circuit circuit;
    std::unique_ptr<Solver> solver;
  };
  struct Probed { Reading reading; std::vector<double> volts; double amps = 0; };  ///< the healthy machine with the meter at it
  bool known(const Circuit& circuit, Tips tips) const { return circuit.known[tips.plus] && circuit.known[tips.minus]; }
  struct Seen { Reading reading; std::vector<double> from; };                       ///< a point of the healthy machine, powered
  const Seen& healthy_volts(Tips tips);
  Reading volts_at(const Patch& patch, const Solution& point, Tips tips, std::vector<double>& seen);
  Solver& off();
  Solver& on();
  Probed probe_ohms(const Patch& patch, Tips tips);
  Probed probe_diode(const Patch& patch, Tips tips);
  template <class Probe>
  Reading undisturbed_or(std::map<Tips, Probed>& healthy, const Condition& condition, std::size_t strength, Tips tips, Probe probe);

  bool moves(const Patch& patch, Tips tips, const Seen& healthy);

  Levels levels_, none_;
  double stiff_v_;
  Islands islands_;
  Side on_, off_;
  std::map<Tips, Probed> healthy_ohms_, healthy_diode_;
  std::map<Tips, Seen> healthy_volts_;
};

}  // namespace halfsplit::circuit
