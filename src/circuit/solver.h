// circuit/solver.h - node volts of a network, healthy and under many patches, by Newton's method started where the healthy circuit stands.
//
// Idea:     the healthy circuit is solved once and carefully; a fault moves few devices, so a full Newton step from there with one fixed pattern needs
//           three to six rounds. Devices whose ends moved less than a microvolt keep their currents and slopes.
// Source:   modified by predicted current as in law.h; fall-backs by a conductance to ground at every node, then by raising the sources: usual practice.
// Errors:   a point that no method reaches is `solved == false`: no prediction.
// Threads:  one solver a thread.
// Start at: Solver::solve(), Solver::seen_from().
#pragma once
#include <cstdint>
#include <map>
#include <memory>
#include <utility>
#include <vector>

#include "circuit/law.h"
#include "circuit/network.h"
#include "circuit/sparse.h"

namespace halfsplit::circuit {

struct Solution {
  bool solved = false;
  std::vector<double> volts;    ///< by node, ground included
  std::uint32_t rounds = 0;     ///< Newton rounds used
};

class Solver {
 public:
  /// Solves the network as it stands (the healthy point); `network` must outlive the solver and not change.
  explicit Solver(const Network& network);
  ~Solver();
  const Solution& healthy() const { return healthy_; }
  /// With the patch, from the healthy point. Fuses that carry more than they bear open, and it is solved again.
  Solution solve(const Patch& patch);
  /// Fuses that opened on the way to the point that solve() found last.
  const std::vector<DeviceIndex>& opened() const { return elsewhere_ ? wider_->opened() : opened_; }
  /// Whether the patch moves anything: currents of changed devices at `volts` against those before, amperes.
  double disturbance(const Patch& patch, const std::vector<double>& volts) const;
  /// Every device that the patch changes so that its currents at the healthy volts differ, with how far that would move a point that is `seen`
  /// (seen_from() of the healthy machine) if the rest were linear, volts; infinite where that can't be said.
  struct Influence { const Device& device; double volts; };
  std::vector<Influence> influences(const Patch& patch, const std::vector<double>& seen) const;

  // Of the point that solve() or the constructor found last:
  /// Volts that 1 A into `to` (out of `from`) makes at every node, by node: the transfer resistance backwards, so that the answer for a current injected
  /// anywhere is read off. Element [to] - [from] is the source resistance between the two, ohms.
  std::vector<double> seen_from(NodeIndex to, NodeIndex from = kGround);
  /// One standard deviation of the volts between two nodes, from the tolerances of all devices; `seen` as by seen_from(to, from).
  double spread(const std::vector<double>& seen) const;
  /// Current into the first terminal of a device (added ones follow those of the network), amperes.
  double current_into(DeviceIndex device) const;

 private:
  struct Place;
  struct Eval;
  struct Watch;
  void place_devices();
  Place place_of(const Device& device) const;
  bool fits(const Patch& patch) const;
  template <class Take>
  void each_change(const Patch& patch, const std::vector<double>& volts, Take take) const;
  Solution solve_wider(const Patch& patch);
  void load(const Patch& patch);
  void forget();
  bool newton(Solution& out, std::uint32_t most_rounds);
  bool climb(Solution& out);
  bool look_around(const std::vector<double>& volts, bool everything);
  bool one_round(const std::vector<double>& volts, double& moved);
  void stamp_all();
  void stamp(const Place& place, const Device& device, const Eval& eval, double sign);
  const Device& device(std::size_t index) const;
  std::vector<DeviceIndex> blown(const Solution& at) const;
  Eval evaluated(std::size_t index, const std::vector<double>& volts, bool free, const Memory& memory) const;
  const Eval& now(std::size_t index) const;

  double port_ohms(NodeIndex a, NodeIndex b) const;

  const Network& network_;
  std::shared_ptr<Pattern> pattern_;
  std::vector<Place> places_;                ///< by device, added ones at the end while a patch is loaded
  std::vector<DeviceIndex> nonlinear_;       ///< of the network
  Solution healthy_, last_;
  std::vector<DeviceIndex> opened_;
  std::vector<Eval> healthy_evals_;          ///< by device
  std::vector<double> healthy_values_, healthy_right_;  ///< all devices stamped at the healthy point
  std::vector<Watch> watches_;               ///< one for each nonlinear device: where its ends stood when it was evaluated
  std::vector<Watch> added_watches_;         ///< of changed and added devices
  std::vector<std::uint32_t> moved_;         ///< watches whose device left the healthy evaluation
  std::vector<std::unique_ptr<Eval>> own_;   ///< by device: evaluations away from the healthy point
  std::vector<Device> changed_;              ///< devices of the loaded patch
  std::vector<DeviceIndex> changed_index_;   ///< theirs
  std::vector<std::uint32_t> change_of_;     ///< by device: index into changed_, or kUnchanged
  std::vector<double> base_, base_right_;    ///< healthy stamps with the patch's linear changes
  std::vector<double> right_, factors_, healthy_factors_;
  mutable std::map<std::pair<NodeIndex, NodeIndex>, double> port_ohms_;  ///< of the healthy circuit
  double ground_siemens_ = 0, source_share_ = 1;
  bool elsewhere_ = false;                   ///< the last point was found by `wider_`
  std::unique_ptr<Network> wider_network_;
  std::unique_ptr<Solver> wider_;            ///< with places for a patch that joins nodes this one keeps apart
};

}  // namespace halfsplit::circuit
