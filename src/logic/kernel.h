// logic/kernel.h - settles a network for several hypotheses side by side: only what differs from the healthy machine is computed.
//
// Shape:    kLanes<V> / words hypotheses a run; V = Word64 or Lanes2 (one hypothesis), Lanes8 (packed).
// Idea:     inner settling with storage held fixed (one pass in topological order), then storage is recomputed and never gets better; 2-3 rounds.
//           Content looks are taken before a crash, all others after it.
// Cost:     proportional to the part of the network that differs; measured in docs/measurements.md.
// Threads:  one Kernel a thread; the network is shared.
// Start at: Kernel::run().
#pragma once
#include <cstdint>
#include <functional>
#include <utility>
#include <vector>

#include "logic/network.h"
#include "logic/planes.h"

namespace halfsplit::logic {

/// How a hypothesis and a setup change the machine, as masks over the lanes.
template <class V>
struct PinPatch {
  V open{}, deaf{}, hard_low{}, hard_high{}, no_drive{}, wrong{}, weak{}, any{}, always{}, never{}, drag{};
  V moving{};  ///< the output moves, rightly or wrongly
};
template <class V>
struct PartPatch { V dead{}, unlisted{}; };
template <class V>
struct ElementPatch { std::uint32_t part = 0, element = 0; V open{}, closed{}; };
template <class V>
struct StoragePatch { V wrong{}, stuck{}, dead{}; };

template <class V>
class Kernel {
 public:
  explicit Kernel(const Network& network);

  // ---- patches; clear() takes all away ----
  void clear();
  PinPatch<V>& pin_patch(std::uint32_t pin);
  PartPatch<V>& part_patch(std::uint32_t part);
  ElementPatch<V>& element_patch(std::uint32_t part, std::uint32_t element);
  StoragePatch<V>& storage_patch(std::uint32_t storage);
  /// A net held hard at a level (short to ground or to a rail).
  void hold_net(std::uint32_t net, const V& low, const V& high);

  /// Settles; `before_crash` is called when everything but the crash is known.
  void run(const std::function<void()>& before_crash = {});
  /// Settles starting from nothing known instead of the healthy values: for the test that both agree.
  void run_cold(Start start, const std::function<void()>& before_crash = {});
  /// The healthy machine itself, which all else is compared with.
  void run_reference();

  // ---- results, valid until the next run ----
  const Planes<V>& value(NodeId node) const { return stamp_[node] == generation_ ? values_[node] : reference_[node]; }
  /// As a tip on the leg sees it: the net, or the pin alone where its joint is open.
  Planes<V> at_leg(std::uint32_t pin) const;
  /// Slots that occur (can occur) in each lane.
  const V& occurs() const { return occurs_; }
  /// State of a storage, the same in all slots.
  const Planes<V>& state(std::uint32_t storage) const { return states_[storage]; }
  const Planes<V>& healthy(NodeId node) const { return reference_[node]; }
  /// Master alive and not crashed (right / wrong planes).
  Planes<V> running(std::uint32_t master) const;

  // ---- address sweep: bits are addresses, master pins are given ----
  void sweep(const std::vector<Planes<V>>& master_values, const std::vector<NodeId>& wanted_order, bool active);

 private:
  Planes<V> read(const Operand& operand) const;
  Planes<V> evaluate(NodeId node);
  Planes<V> evaluate_drive(const Op& op) const;
  Planes<V> evaluate_strong(const Op& op) const;
  Planes<V> evaluate_resolve(const Op& op) const;
  Planes<V> evaluate_all_right(const Op& op) const;
  Planes<V> evaluate_master(const Op& op) const;
  Planes<V> contribution(const Contribution& c, std::uint32_t net) const;
  V cut_off(std::uint32_t net, std::uint32_t from) const;
  V element_open(std::uint32_t part, std::uint32_t element) const;
  void mark(NodeId node) { dirty_[node >> 6] |= Word64{1} << (node & 63); }
  void store(NodeId node, const Planes<V>& value);
  void settle();
  void settle_group(NodeId first);
  void touch_patches();
  void settle_cold(const std::function<void()>& before_crash);
  bool update_storages(bool programs);
  Planes<V> next_state(std::uint32_t storage) const;
  Planes<V> next_bit(const Storage& s, const V& sample_slots) const;
  Planes<V> next_content(const Storage& s, const V& sample_slots) const;
  Planes<V> next_alive(const Storage& s) const;
  Planes<V> next_program(const Storage& s, const V& sample_slots) const;
  void update_occurs();
  bool feeds_phase(NodeId node) const;
  V anywhere_in(const V& bits) const { return anywhere(bits, net_.words); }
  V pattern(const std::vector<Word64>& words) const { return repeated<V>(words.data(), net_.words); }
  void widen_reference();

  const Network& net_;
  std::vector<Planes<V>> reference_;  ///< healthy values, repeated over the lanes
  struct PinSlots { V low, high, right, none; };
  std::vector<PinSlots> master_slots_;
  std::vector<V> samples_, sampled_, own_slots_;
  std::vector<bool> has_samples_;
  std::vector<NodeId> master_nodes_;
  std::vector<Planes<V>> values_;
  std::vector<std::uint32_t> stamp_;
  std::uint32_t generation_ = 0;
  std::vector<Planes<V>> states_;
  std::vector<bool> state_dirty_;
  std::vector<Word64> dirty_;
  V occurs_{}, normal_{}, stopped_{}, not_first_{}, not_last_{}, active_{};
  bool reference_run_ = false, cold_ = false, may_recover_ = false, swept_ = false, sweep_active_ = true;
  const std::vector<Planes<V>>* sweep_values_ = nullptr;

  std::vector<std::uint16_t> pin_patch_of_, part_patch_of_;
  std::vector<std::pair<std::uint32_t, PinPatch<V>>> pin_patches_;
  std::vector<std::pair<std::uint32_t, PartPatch<V>>> part_patches_;
  std::vector<ElementPatch<V>> element_patches_;
  std::vector<bool> part_has_elements_;
  std::vector<std::pair<std::uint32_t, StoragePatch<V>>> storage_patches_;
  struct Held { std::uint32_t net; V low, high; };
  std::vector<Held> held_;
  std::vector<std::uint32_t> hard_pins_;
  std::vector<bool> net_patched_;
};

extern template class Kernel<Word64>;
extern template class Kernel<Lanes2>;
extern template class Kernel<Lanes8>;

}  // namespace halfsplit::logic
