// oracle/clocked/wiring.h - copper, contacts, resistors, diodes and transistors of one machine with its faults and set-up: nodes, and the level each one takes.
//
// Idea:     written apart from src/logic: a node has one level at a time (low, high, nobody, middle); strong drivers win, else the nearest level through
//           resistors and diodes in series ohms, found by two shortest-path runs.
// Limits:   capacitors pass nothing but a short; a lamp or Zener diode holds no level. Rails are there or not.
// Start at: Wiring, Wiring::settle().
#pragma once
#include <cstdint>
#include <vector>

#include "board/setup.h"
#include "fault/fault.h"

namespace halfsplit::oracle {

enum class Level : std::uint8_t { low, high, none, middle };
using NodeId = std::uint32_t;

/// What faults and the bench do to one pin, beside its copper.
struct PinFault {
  bool hard_low = false, hard_high = false;   ///< held at a level through next to nothing
  bool no_drive = false, always_on = false, never_on = false, inverted = false, soft = false, deaf = false, drags = false;
  int moves_oddly = 0;                        ///< unlisted: 1 stands low, 2 stands high, 3 lets go, 4 inverted, 5 soft
};

class Wiring {
 public:
  Wiring(const board::Machine& machine, const board::Setup& setup, const std::vector<const fault::Fault*>& faults, std::uint64_t specimen);

  std::uint32_t node_count() const { return static_cast<std::uint32_t>(members_.size()); }
  /// The node a tip on the pin's leg touches.
  NodeId leg(board::PinId pin) const { return node_of_pin_[pin.index()]; }
  NodeId net(board::NetId id) const { return root_[id.index()]; }
  const std::vector<std::uint32_t>& pins_at(NodeId node) const { return members_[node]; }
  const PinFault& pin_fault(std::uint32_t pin) const { return pin_faults_[pin]; }
  bool dead(std::uint32_t part) const { return part_dead_[part]; }
  bool away(std::uint32_t part) const { return part_away_[part]; }

  /// Levels of the nodes that hang together with `node`, given what each pin drives; changed nodes are appended.
  void settle(NodeId node, const std::vector<Level>& drives, std::vector<Level>& levels, std::vector<NodeId>& changed) const;

 private:
  struct Link { NodeId a = 0, b = 0; double ohms = 0; bool diode = false; std::int32_t gate = -1; bool gate_high = true; };
  void apply(const fault::Fault& fault);
  void apply_part(const fault::Fault& fault);
  void apply(const board::Action& action);
  void take_out(std::uint32_t part);
  template <class F> void each_driver(const fault::Fault& fault, F change);
  void join_contacts();
  void collect();
  Level own_level(NodeId node, const std::vector<Level>& drives) const;
  NodeId find(NodeId node) const;
  NodeId raw_node(std::uint32_t pin) const;

  const board::Machine& machine_;
  std::uint64_t specimen_;
  std::vector<PinFault> pin_faults_;
  std::vector<bool> open_pin_, part_dead_, part_away_, held_;
  std::vector<std::pair<std::uint32_t, std::uint16_t>> opened_, shorted_;   ///< elements: part, number
  mutable std::vector<NodeId> parent_;
  std::vector<NodeId> root_, node_of_pin_;
  std::vector<std::vector<std::uint32_t>> members_;
  std::vector<Link> links_;
  std::vector<std::vector<std::uint32_t>> links_of_, gated_of_, cluster_;   ///< cluster: nodes that hang together through links
  std::vector<std::uint32_t> cluster_of_;
  std::vector<bool> ground_, rail_, rail_fed_, force_low_, force_high_, supply_short_;
};

}  // namespace halfsplit::oracle
