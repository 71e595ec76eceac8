// Long because: one class template, instantiated for three lane widths in this file.
#include "logic/kernel.h"

#include <algorithm>

#include "base/require.h"

namespace halfsplit::logic {
namespace {

constexpr int kMostRounds = 24, kMostSweeps = 64;

template <class V>
V all_ones() { return ~V{}; }
template <class V>
Planes<V> nothing_driven() { Planes<V> p; p.none = all_ones<V>(); return p; }
template <class V>
Planes<V> everything() {
  const V on = all_ones<V>();
  return {on, on, on, on, on, on};
}
template <class V>
Planes<V> unlisted_set() {
  const V on = all_ones<V>();
  return {on, on, on, on, on, V{}};
}
template <class V>
Planes<V> only_low() { Planes<V> p; p.low = all_ones<V>(); return p; }
template <class V>
Planes<V> only_high() { Planes<V> p; p.high = all_ones<V>(); return p; }
template <class V>
Planes<V> only_wrong() { Planes<V> p; p.wrong = all_ones<V>(); return p; }
template <class V>
Planes<V> only_fight() { Planes<V> p; p.fight = all_ones<V>(); return p; }

/// One phase later within each cycle; the first phase keeps its own value.
template <class V>
V later(const V& x, const V& not_first) { return ((x << 1) & not_first) | (x & ~not_first); }

/// A bit set in any slot of a cycle is set in all of them.
template <class V>
V smeared(V x, const V& not_first, const V& not_last) {
  for (int i = 0; i < 7; ++i) x |= ((x << 1) & not_first) | ((x >> 1) & not_last);
  return x;
}

}  // namespace

template <class V>
Kernel<V>::Kernel(const Network& network) : net_(network) {
  const std::size_t n = net_.ops.size();
  values_.resize(n);
  stamp_.assign(n, 0);
  dirty_.assign((n + 63) / 64, 0);
  states_.resize(net_.storages.size());
  state_dirty_.assign(net_.storages.size(), false);
  pin_patch_of_.assign(net_.machine->pins().size(), 0);
  part_patch_of_.assign(net_.machine->parts().size(), 0);
  part_has_elements_.assign(net_.machine->parts().size(), false);
  net_patched_.assign(net_.machine->nets().size(), false);
  if (net_.slot_count > 0) {
    normal_ = pattern(net_.normal);
    stopped_ = pattern(net_.stopped);
    not_first_ = pattern(net_.not_first);
    not_last_ = pattern(net_.not_last);
    active_ = pattern(net_.active);
  }
  for (NodeId k = 0; k < net_.ops.size(); ++k)
    if (net_.ops[k].kind == OpKind::master) master_nodes_.push_back(k);
  widen_reference();
  clear();
}

template <class V>
void Kernel<V>::clear() {
  for (const auto& [pin, patch] : pin_patches_) pin_patch_of_[pin] = 0;
  for (const auto& [part, patch] : part_patches_) part_patch_of_[part] = 0;
  for (const auto& patch : element_patches_) part_has_elements_[patch.part] = false;
  pin_patches_.clear();
  part_patches_.clear();
  element_patches_.clear();
  storage_patches_.clear();
  held_.clear();
  hard_pins_.clear();
}

template <class V>
PinPatch<V>& Kernel<V>::pin_patch(std::uint32_t pin) {
  if (pin_patch_of_[pin] == 0) {
    pin_patches_.push_back({pin, {}});
    pin_patch_of_[pin] = static_cast<std::uint16_t>(pin_patches_.size());
  }
  return pin_patches_[pin_patch_of_[pin] - 1].second;
}
template <class V>
PartPatch<V>& Kernel<V>::part_patch(std::uint32_t part) {
  if (part_patch_of_[part] == 0) {
    part_patches_.push_back({part, {}});
    part_patch_of_[part] = static_cast<std::uint16_t>(part_patches_.size());
  }
  return part_patches_[part_patch_of_[part] - 1].second;
}
template <class V>
ElementPatch<V>& Kernel<V>::element_patch(std::uint32_t part, std::uint32_t element) {
  for (auto& patch : element_patches_)
    if (patch.part == part && patch.element == element) return patch;
  ElementPatch<V> made;
  made.part = part;
  made.element = element;
  element_patches_.push_back(made);
  part_has_elements_[part] = true;
  return element_patches_.back();
}
template <class V>
StoragePatch<V>& Kernel<V>::storage_patch(std::uint32_t storage) {
  for (auto& [id, patch] : storage_patches_)
    if (id == storage) return patch;
  storage_patches_.push_back({storage, {}});
  return storage_patches_.back().second;
}
template <class V>
void Kernel<V>::hold_net(std::uint32_t net, const V& low, const V& high) { held_.push_back({net, low, high}); }

/// Everything that is the same in all lanes, once a kernel.
template <class V>
void Kernel<V>::widen_reference() {
  reference_.assign(net_.ops.size(), {});
  for (NodeId node = 0; node < net_.ops.size() && !net_.reference.empty(); ++node) {
    const auto* p = &net_.reference[node * net_.words];
    Planes<V>& out = reference_[node];
    for (std::uint32_t i = 0; i < kLanes<V>; ++i) {
      const auto& w = p[i % net_.words];
      set_lane(out.low, i, w.low);
      set_lane(out.high, i, w.high);
      set_lane(out.right, i, w.right);
      set_lane(out.wrong, i, w.wrong);
      set_lane(out.none, i, w.none);
      set_lane(out.fight, i, w.fight);
    }
  }
  master_slots_.clear();
  samples_.clear();
  sampled_.clear();
  own_slots_.clear();
  has_samples_.clear();
  if (net_.slot_count == 0) return;
  for (const auto& pin : net_.master_pins) master_slots_.push_back({pattern(pin.low), pattern(pin.high), pattern(pin.moves), pattern(pin.none)});
  for (const auto& s : net_.storages) {
    has_samples_.push_back(!s.samples.empty());
    samples_.push_back(s.samples.empty() ? all_ones<V>() : pattern(s.samples));
  }
  for (const auto& s : net_.sampled) sampled_.push_back(s.slots.empty() ? V{} : pattern(s.slots));
  for (const auto& master : net_.masters) own_slots_.push_back(pattern(master.slots));
}

template <class V>
Planes<V> Kernel<V>::read(const Operand& operand) const {
  Planes<V> p = value(operand.node);
  if (operand.pin != kNone32 && pin_patch_of_[operand.pin] != 0) {
    const auto& patch = pin_patches_[pin_patch_of_[operand.pin] - 1].second;
    p = choose<V>(patch.open | patch.deaf, nothing_driven<V>(), p);
  }
  if (operand.pin != kNone32 && net_.floats_high[operand.pin] && !net_.is_supply[operand.pin] && !is_zero<V>(p.none)) {  // an open bipolar input acts as high, or picks up what is about
    p.high |= p.none;
    p.wrong |= p.none;
    p.none = V{};
  }
  return p;
}

template <class V>
Planes<V> Kernel<V>::at_leg(std::uint32_t pin) const {
  const auto net = net_.machine->pins()[pin].net;
  const NodeId own = net_.drive_node[pin];
  const Planes<V> alone = own == kNone32 ? nothing_driven<V>() : value(own);
  if (!net.known()) return alone;
  const Planes<V> joined = value(net_.net_node[net.index()]);
  if (pin_patch_of_[pin] == 0) return joined;
  return choose<V>(pin_patches_[pin_patch_of_[pin] - 1].second.open, alone, joined);
}

template <class V>
Planes<V> Kernel<V>::evaluate(NodeId node) {
  const Op& op = net_.ops[node];
  const auto input = [&](std::uint32_t i) { return sensed<V>(read(net_.operands[op.first + i])); };
  const auto reference = [&](std::uint32_t i, const Planes<V>& own) { return reference_run_ ? own : sensed<V>(healthy(net_.operands[op.first + i].node)); };
  switch (op.kind) {
    case OpKind::constant: return splat<V>(net_.constants[op.aux]);
    case OpKind::negation: return negation<V>(input(0));
    case OpKind::conjunction:
    case OpKind::disjunction:
    case OpKind::exclusive: {
      const Planes<V> a = input(0), b = input(1);
      const Planes<V> ra = reference(0, a), rb = reference(1, b);
      return op.kind == OpKind::conjunction ? conjunction<V>(a, ra, b, rb) : op.kind == OpKind::disjunction ? disjunction<V>(a, ra, b, rb) : exclusive<V>(a, ra, b, rb);
    }
    case OpKind::drive: return evaluate_drive(op);
    case OpKind::strong: return evaluate_strong(op);
    case OpKind::resolve: return evaluate_resolve(op);
    case OpKind::all_right:
    case OpKind::both_right: return evaluate_all_right(op);
    case OpKind::storage: return states_[op.aux];
    case OpKind::master: return evaluate_master(op);
    case OpKind::delay: {
      Planes<V> p = input(0);
      if (swept_) return p;
      p.low = later(p.low, not_first_);
      p.high = later(p.high, not_first_);
      p.right = later(p.right, not_first_);
      p.wrong = later(p.wrong, not_first_);
      return p;
    }
    case OpKind::phase: {
      Planes<V> p = input(0);
      if (net_.one_value) return p;
      const bool inverted = net_.phase_inverted;
      if (swept_) {
        (inverted != sweep_active_ ? p.high : p.low) |= p.right;
        p.right = V{};
        return p;
      }
      const V first = p.right & normal_ & ~active_, later_ones = p.right & active_;
      p.low |= inverted ? later_ones : first;
      p.high |= inverted ? first : later_ones;
      p.right &= ~normal_;
      return p;
    }
    case OpKind::select_stored: {
      const Planes<V> open = input(0), data = input(1), stored = input(2);
      const Planes<V> ro = reference(0, open), rd = reference(1, data), rs = reference(2, stored);
      const Planes<V> through = conjunction<V>(open, ro, data, rd), r_through = conjunction<V>(ro, ro, rd, rd);
      const Planes<V> kept = conjunction<V>(negation(open), negation(ro), stored, rs), r_kept = conjunction<V>(negation(ro), negation(ro), rs, rs);
      return disjunction<V>(through, reference_run_ ? through : r_through, kept, reference_run_ ? kept : r_kept);
    }
  }
  return everything<V>();
}

template <class V>
Planes<V> Kernel<V>::evaluate_drive(const Op& op) const {
  const Operand &data = net_.operands[op.first], &enable = net_.operands[op.first + 1], &power = net_.operands[op.first + 2];
  Planes<V> out = read(data);
  if (net_.ops[data.node].kind != OpKind::master) out = sensed<V>(out);
  const PinPatch<V>* patch = pin_patch_of_[op.aux] == 0 ? nullptr : &pin_patches_[pin_patch_of_[op.aux] - 1].second;
  if (enable.node != kNone32 || (patch != nullptr && !(is_zero<V>(patch->always) && is_zero<V>(patch->never)))) {
    Planes<V> e = enable.node == kNone32 ? only_high<V>() : sensed<V>(read(enable));
    Planes<V> re = enable.node == kNone32 ? only_high<V>() : (reference_run_ ? e : sensed<V>(healthy(enable.node)));
    if (patch != nullptr) {
      e = choose<V>(patch->always, only_high<V>(), e);
      e = choose<V>(patch->never, only_low<V>(), e);
    }
    const V as_meant = (e.high & (re.high | re.right)) | e.right, against = (e.high & ~re.high & ~re.right) | e.wrong;
    Planes<V> driven;
    driven.low = out.low & (as_meant | against);
    driven.high = out.high & (as_meant | against);
    driven.right = out.right & as_meant;
    driven.wrong = (out.wrong & as_meant) | (out.moving() & against);
    driven.none = (out.none & (as_meant | against)) | e.low | e.wrong;
    out = driven;
  }
  if (power.node != kNone32) {
    const Planes<V> p = value(power.node);
    const Rightness<V> r = reference_run_ ? Rightness<V>{all_ones<V>(), V{}} : rightness<V>(p, healthy(power.node));
    out.low &= r.right;
    out.high &= r.right;
    out.right &= r.right;
    out.wrong &= r.right;
    out.none = (out.none & r.right) | r.wrong;
  }
  if (op.open_low) { out.none |= out.high; out.high = V{}; }
  if (op.open_high) { out.none |= out.low; out.low = V{}; }
  const std::uint32_t part = net_.machine->pins()[op.aux].part.index();
  if (part_patch_of_[part] != 0) {
    const auto& pp = part_patches_[part_patch_of_[part] - 1].second;
    out = choose<V>(pp.dead, nothing_driven<V>(), out);
    out = choose<V>(pp.unlisted, unlisted_set<V>(), out);
  }
  if (patch != nullptr) {
    out = choose<V>(patch->no_drive, nothing_driven<V>(), out);
    // A wrong or weak output is so while it drives; a disabled one lets go as ever.
    Planes<V> spoilt;
    const V driven = out.low | out.high | out.right | out.wrong | out.fight;
    spoilt.none = out.none;
    spoilt.wrong = driven & patch->wrong;
    spoilt.fight = driven & ~patch->wrong;
    out = choose<V>(patch->wrong | patch->weak, spoilt, out);
    out = choose<V>(patch->any, unlisted_set<V>(), out);
    Planes<V> moves;
    moves.right = moves.wrong = all_ones<V>();
    out = choose<V>(patch->moving, moves, out);
    out = choose<V>(patch->hard_low, only_low<V>(), out);
    out = choose<V>(patch->hard_high, only_high<V>(), out);
  }
  return out;
}

/// Lanes in which segment `from` no longer reaches `net`, because closed contacts between them are open.
template <class V>
V Kernel<V>::cut_off(std::uint32_t net, std::uint32_t from) const {
  V cut{};
  for (std::uint32_t i = 0; i < kLanes<V>; i += net_.words) {
    std::vector<std::uint32_t> reached{net};
    for (std::size_t head = 0; head < reached.size(); ++head)
      for (const auto k : net_.closed_of_net[net]) {
        const auto& contact = net_.closed[k];
        if (lane(element_open(contact.part, contact.element), i) != 0) continue;
        const std::uint32_t other = contact.net_a == reached[head] ? contact.net_b : contact.net_b == reached[head] ? contact.net_a : kNone32;
        if (other != kNone32 && std::find(reached.begin(), reached.end(), other) == reached.end()) reached.push_back(other);
      }
    if (std::find(reached.begin(), reached.end(), from) == reached.end())
      for (std::uint32_t w = 0; w < net_.words; ++w) set_lane(cut, i + w, ~Word64{0});
  }
  return cut;
}

/// Lanes in which an element of a passive or contact does not conduct: opened, part out, or one of its joints open.
template <class V>
V Kernel<V>::element_open(std::uint32_t part, std::uint32_t element) const {
  V open{};
  if (part_patch_of_[part] != 0) open |= part_patches_[part_patch_of_[part] - 1].second.dead;
  if (part_has_elements_[part])
    for (const auto& patch : element_patches_)
      if (patch.part == part && patch.element == element) open |= patch.open;
  return open;
}

template <class V>
Planes<V> Kernel<V>::contribution(const Contribution& c, std::uint32_t net) const {
  Planes<V> p = value(c.node);
  V away{};
  if (c.pin != kNone32 && pin_patch_of_[c.pin] != 0) away |= pin_patches_[pin_patch_of_[c.pin] - 1].second.open;
  if (c.far_pin != kNone32 && pin_patch_of_[c.far_pin] != 0) away |= pin_patches_[pin_patch_of_[c.far_pin] - 1].second.open;
  if (c.part != kNone32 && (c.pin == kNone32 || c.ohms > 0) && (part_patch_of_[c.part] != 0 || part_has_elements_[c.part]))
    away |= element_open(c.part, c.element);
  if (c.only_when_closed) {
    V closed{};
    if (part_has_elements_[c.part])
      for (const auto& patch : element_patches_)
        if (patch.part == c.part && patch.element == c.element) closed |= patch.closed;
    away |= ~closed;
  }
  if (c.net != net && c.net != kNone32 && net_patched_[net]) away |= cut_off(net, c.net);
  if (c.low_only) { p.none |= p.high; p.high = V{}; }
  if (c.high_only) { p.none |= p.low; p.low = V{}; }
  if (c.moving_only) { p.none |= p.low | p.high; p.low = p.high = V{}; }
  return is_zero<V>(away) ? p : choose<V>(away, nothing_driven<V>(), p);
}

template <class V>
Planes<V> Kernel<V>::evaluate_strong(const Op& op) const {
  Planes<V> acc = nothing_driven<V>();
  for (std::uint32_t k = 0; k < op.count; ++k) {
    const Planes<V> p = contribution(net_.contributions[op.first + k], op.aux);
    if (is_zero<V>(p.low | p.high | p.right | p.wrong | p.fight)) continue;
    acc = resolved<V>(acc, p, op.low_wins);
  }
  V low{}, high{}, drag{};
  for (const auto pin : hard_pins_) {
    const auto net = net_.machine->pins()[pin].net;
    if (!net.known() || net_.cluster[net.index()] != net_.cluster[op.aux]) continue;
    const auto& patch = pin_patches_[pin_patch_of_[pin] - 1].second;
    V joined = ~patch.open;
    if (net.index() != op.aux && net_patched_[op.aux]) joined &= ~cut_off(op.aux, net.index());
    low |= patch.hard_low & joined;
    high |= patch.hard_high & joined;
    drag |= patch.drag & joined;
  }
  for (const auto& held : held_)
    if (net_.cluster[held.net] == net_.cluster[op.aux]) { low |= held.low; high |= held.high; }
  if (!is_zero<V>(drag)) {
    Planes<V> pulled = only_low<V>();
    pulled.fight = all_ones<V>();
    acc = choose<V>(drag, pulled, acc);
  }
  if (!is_zero<V>(low | high)) {
    acc = choose<V>(high, only_high<V>(), acc);
    acc = choose<V>(low, only_low<V>(), acc);
    acc = choose<V>(low & high, only_fight<V>(), acc);
  }
  return acc;
}

template <class V>
Planes<V> Kernel<V>::evaluate_resolve(const Op& op) const {
  Planes<V> acc = value(net_.contributions[op.first].node);
  for (std::uint32_t k = 1; k < op.count && !is_zero<V>(acc.none); ++k) acc = backed_by<V>(acc, contribution(net_.contributions[op.first + k], op.aux));
  return acc;
}

template <class V>
Planes<V> Kernel<V>::evaluate_all_right(const Op& op) const {
  Planes<V> out;
  out.right = all_ones<V>();
  V can_move{}, can_rest = all_ones<V>();
  for (std::uint32_t k = 0; k < op.count; ++k) {
    const Operand& o = net_.operands[op.first + k];
    // Stored and access nodes are taken as they are; a supply pin on nothing has no supply, whatever it picks up.
    const bool as_is = op.kind == OpKind::both_right || (o.pin != kNone32 && net_.is_supply[o.pin]);
    const Planes<V> p = as_is ? read(o) : sensed<V>(read(o));
    if (reference_run_) continue;
    const Planes<V> ref = as_is ? healthy(o.node) : sensed<V>(healthy(o.node));
    const Rightness<V> r = rightness<V>(p, ref);
    out.right &= r.right;
    if (net_.ops[o.node].kind != OpKind::storage) {  // a stored bit does not move by itself
      can_move |= p.moving();
      can_rest &= p.low | p.high | p.none;
    }
    const V still = op.kind == OpKind::both_right ? V{} : (p.low | p.high) & ref.right;
    const bool clock = o.pin != kNone32 && net_.machine->pin_type(board::PinId(o.pin)).role == parts::PinRole::clock;
    out.wrong |= clock ? r.wrong & ~still : r.wrong;
    if (clock) { out.low |= still; out.high |= still; }
  }
  if (reference_run_ || swept_) return out;
  // With the processor stopped and nothing else moving, what comes out is wrong but stands still at an unknown level.
  const V at_rest = out.wrong & stopped_;
  out.low |= at_rest & can_rest;
  out.high |= at_rest & can_rest;
  out.wrong = (out.wrong & ~stopped_) | (at_rest & can_move);
  if (op.aux == kNone32 || op.kind != OpKind::all_right) return out;
  V mask = all_ones<V>();
  if (op.aux != kWholeCycle) mask = sampled_[op.aux];
  const V bad = smeared<V>(out.wrong & mask, not_first_, not_last_), not_right = smeared<V>(~out.right & mask, not_first_, not_last_);
  out.wrong = bad;
  out.right = ~not_right;
  return out;
}

template <class V>
Planes<V> Kernel<V>::evaluate_master(const Op& op) const {
  if (swept_) return (*sweep_values_)[op.aux];
  const MasterPin& pin = net_.master_pins[op.aux];
  const Master& master = net_.masters[pin.master];
  const Planes<V>&alive = states_[master.alive], &rom = states_[master.rom], &ram = states_[master.ram];
  const V sound = alive.right & rom.right & ram.right, crashed = alive.right & (rom.wrong | ram.wrong);
  Planes<V> out;
  const PinSlots& slots = master_slots_[op.aux];
  out.low = slots.low & alive.right;
  out.high = slots.high & alive.right;
  out.none = slots.none & alive.right;
  out.right = slots.right & (master.processor ? sound : alive.right);
  out.wrong = master.processor ? slots.right & crashed : V{};
  // Stopped anywhere in a transfer: levels unknown, data driven or not. Held in reset: strobes idle.
  const bool data = pin.in_reset == MasterPin::Rest::open, unknown = pin.in_reset == MasterPin::Rest::unknown;
  out.low |= alive.wrong;
  out.high |= alive.wrong;
  if (data) out.none |= alive.wrong | alive.low;
  if (unknown || pin.in_reset == MasterPin::Rest::low) out.low |= alive.low;
  if (unknown || pin.in_reset == MasterPin::Rest::high) out.high |= alive.low;
  return out;
}

template <class V>
void Kernel<V>::store(NodeId node, const Planes<V>& value) {
  values_[node] = value;
  stamp_[node] = generation_;
}

template <class V>
void Kernel<V>::settle() {
  for (std::size_t w = 0; w < dirty_.size(); ++w) {
    while (dirty_[w] != 0) {
      const NodeId node = static_cast<NodeId>(w * 64 + static_cast<std::size_t>(__builtin_ctzll(dirty_[w])));
      dirty_[w] &= dirty_[w] - 1;
      const NodeId first = net_.group[node];
      if (net_.group_size[first] > 1) {
        settle_group(first);
        continue;
      }
      const Planes<V> fresh = evaluate(node);
      if (same<V>(fresh, value(node))) continue;
      store(node, fresh);
      for (std::uint32_t k = net_.readers_first[node]; k < net_.readers_first[node + 1]; ++k) mark(net_.readers[k]);
      for (std::uint32_t k = net_.storage_first[node]; k < net_.storage_first[node + 1]; ++k) state_dirty_[net_.storage_readers[k]] = true;
    }
  }
}

template <class V>
void Kernel<V>::settle_group(NodeId first) {
  const std::uint32_t size = net_.group_size[first];
  std::vector<Planes<V>> before(size);
  for (std::uint32_t i = 0; i < size; ++i) {
    before[i] = value(first + i);
    store(first + i, everything<V>());
    dirty_[(first + i) >> 6] &= ~(Word64{1} << ((first + i) & 63));
  }
  bool changed = true;
  for (int sweep = 0; sweep < kMostSweeps && changed; ++sweep) {
    changed = false;
    for (std::uint32_t i = 0; i < size; ++i) {
      const Planes<V> fresh = evaluate(first + i);
      if (same<V>(fresh, values_[first + i])) continue;
      values_[first + i] = fresh;
      changed = true;
    }
  }
  for (std::uint32_t i = 0; i < size; ++i) {
    const NodeId node = first + i;
    if (same<V>(before[i], values_[node]) && !cold_) continue;
    for (std::uint32_t k = net_.readers_first[node]; k < net_.readers_first[node + 1]; ++k)
      if (net_.group[net_.readers[k]] != first) mark(net_.readers[k]);
    for (std::uint32_t k = net_.storage_first[node]; k < net_.storage_first[node + 1]; ++k) state_dirty_[net_.storage_readers[k]] = true;
  }
}

template <class V>
void Kernel<V>::touch_patches() {
  std::fill(net_patched_.begin(), net_patched_.end(), false);
  hard_pins_.clear();
  const auto touch_nets = [&](std::uint32_t net) {
    for (const auto k : net_.cluster_nets[net_.cluster[net]]) { mark(net_.strong_node[k]); mark(net_.net_node[k]); }
  };
  bool any_closed = false;
  for (const auto& [pin, patch] : pin_patches_) {
    if (net_.drive_node[pin] != kNone32) mark(net_.drive_node[pin]);
    for (const auto op : net_.pin_ops[pin]) mark(op);
    for (const auto s : net_.pin_storages[pin]) state_dirty_[s] = true;
    if (!is_zero<V>(patch.hard_low | patch.hard_high | patch.drag)) {
      hard_pins_.push_back(pin);
      if (const auto net = net_.machine->pins()[pin].net; net.known()) touch_nets(net.index());
    }
  }
  for (const auto& [part, patch] : part_patches_) {
    const auto& p = net_.machine->parts()[part];
    for (std::uint32_t i = 0; i < p.pin_count; ++i)
      if (const NodeId node = net_.drive_node[p.first_pin.index() + i]; node != kNone32) mark(node);
    for (const auto op : net_.part_ops[part]) mark(op);
    for (const auto s : net_.part_storages[part]) state_dirty_[s] = true;
    for (const auto& contact : net_.closed)
      if (contact.part == part) { any_closed = net_patched_[contact.net_a] = true; touch_nets(contact.net_a); }
  }
  for (const auto& patch : element_patches_) {
    for (const auto op : net_.part_ops[patch.part]) mark(op);
    for (const auto& contact : net_.closed)
      if (contact.part == patch.part && contact.element == patch.element) { any_closed = net_patched_[contact.net_a] = true; touch_nets(contact.net_a); }
  }
  for (std::uint32_t i = 0; any_closed && i < net_patched_.size(); ++i)
    if (net_patched_[i])
      for (const auto k : net_.cluster_nets[net_.cluster[i]]) net_patched_[k] = true;
  for (const auto& held : held_) touch_nets(held.net);
  for (const auto& [id, patch] : storage_patches_) state_dirty_[id] = true;
}

template <class V>
void Kernel<V>::update_occurs() {
  V can{}, must_not_stop = all_ones<V>();
  for (std::size_t m = 0; m < net_.masters.size(); ++m) {
    const auto& master = net_.masters[m];
    const Planes<V>& alive = states_[master.alive];
    can |= own_slots_[m] & alive.right;
    if (master.processor) must_not_stop &= ~(alive.wrong | alive.low);
  }
  if (net_.masters.empty()) can = normal_;
  occurs_ = can | (stopped_ & ~must_not_stop);
}

template <class V>
Planes<V> Kernel<V>::next_bit(const Storage& s, const V& sample_slots) const {
  const V occ = occurs_;
  const V on = all_ones<V>();
  V can_move = on, can_still{}, right = on, wrong{};
  if (s.clock) {
    const Planes<V> c = sensed<V>(read(*s.clock));
    const Rightness<V> r = reference_run_ ? Rightness<V>{on, V{}} : rightness<V>(c, sensed<V>(healthy(s.clock->node)));
    can_move = anywhere_in(c.moving() & occ) | (anywhere_in(c.high & ~c.low & occ) & anywhere_in(c.low & occ)) | (anywhere_in(c.low & ~c.high & occ) & anywhere_in(c.high & occ));
    can_still = ~anywhere_in(~c.low & occ) | ~anywhere_in(~c.high & occ);
    right &= ~anywhere_in(~r.right & occ);
    wrong |= anywhere_in(r.wrong & occ);
  }
  if (s.control && !reference_run_) {
    const Rightness<V> r = rightness<V>(value(s.control->node), healthy(s.control->node));
    right &= ~anywhere_in(~r.right & occ);
    wrong |= anywhere_in(r.wrong & occ);
  }
  const bool bad_control = s.control.has_value() && !reference_run_;
  const V control_bad = bad_control ? anywhere_in(rightness<V>(value(s.control->node), healthy(s.control->node)).wrong & occ) : V{};
  V all_low{}, all_high{}, moves = on;
  V samples = sample_slots & occ;
  if (s.data) {
    const Planes<V> d = sensed<V>(read(*s.data));
    const Rightness<V> r = reference_run_ ? Rightness<V>{on, V{}} : rightness<V>(d, sensed<V>(healthy(s.data->node)));
    const V some = anywhere_in(samples);
    all_low = some & ~anywhere_in(~d.low & samples);
    all_high = some & ~anywhere_in(~d.high & samples);
    moves = anywhere_in(d.moving() & samples) | (anywhere_in(d.low & samples) & anywhere_in(d.high & ~d.low & samples)) | (anywhere_in(d.high & samples) & anywhere_in(d.low & ~d.high & samples));
    right &= ~anywhere_in(~r.right & samples);
    wrong |= anywhere_in(r.wrong & samples);
  }
  for (const auto& o : s.also_data) {
    if (reference_run_) break;
    const Rightness<V> r = rightness<V>(sensed<V>(read(o)), sensed<V>(healthy(o.node)));
    right &= ~anywhere_in(~r.right & samples);
    wrong |= anywhere_in(r.wrong & samples);
  }
  Planes<V> out;
  if (reference_run_) {
    out.low = (can_move & all_low) | (~can_move & can_still);
    out.high = (can_move & all_high) | (~can_move & can_still & (s.clears ? V{} : on));
    out.right = can_move & ~(all_low | all_high);
    return out;
  }
  if (s.healthy_moves) { right &= can_move; wrong |= can_still; }
  out.low = right & splat<V>(s.healthy.low);
  out.high = right & splat<V>(s.healthy.high);
  out.right = right & splat<V>(s.healthy.right);
  out.low |= wrong & ((can_still & on) | (can_move & all_low) | control_bad);
  out.high |= wrong & (can_still | (can_move & all_high) | control_bad);
  out.wrong |= wrong & can_move & (s.data ? moves | control_bad | ~(all_low | all_high) : on);
  return out;
}

template <class V>
Planes<V> Kernel<V>::next_content(const Storage& s, const V& sample_slots) const {
  Planes<V> out;
  const V on = all_ones<V>();
  if (!s.write || reference_run_ || !s.healthy_moves) {
    out.right = on;
    return out;
  }
  const V occ = occurs_;
  const Planes<V> w = sensed<V>(read(*s.write));
  const Rightness<V> rw = rightness<V>(w, sensed<V>(healthy(s.write->node)));
  const V samples = sample_slots & occ;
  V right = anywhere_in(samples) & ~anywhere_in(~rw.right & occ), wrong = ~anywhere_in(samples) | anywhere_in(rw.wrong & occ);
  if (s.control) {
    const Rightness<V> r = rightness<V>(value(s.control->node), healthy(s.control->node));
    right &= ~anywhere_in(~r.right & samples);
    wrong |= anywhere_in(r.wrong & samples);
  }
  if (s.data) {
    const Rightness<V> r = rightness<V>(sensed<V>(read(*s.data)), sensed<V>(healthy(s.data->node)));
    right &= ~anywhere_in(~r.right & samples);
    wrong |= anywhere_in(r.wrong & samples);
  }
  out.right = right;
  out.wrong = wrong;
  return out;
}

template <class V>
Planes<V> Kernel<V>::next_alive(const Storage& s) const {
  Planes<V> out;
  out.right = all_ones<V>();
  if (reference_run_) return out;
  const auto judge = [&](const Rightness<V>& r) {
    out.right &= ~anywhere_in(~r.right & normal_);
    out.wrong |= anywhere_in(r.wrong & normal_);
  };
  for (const auto& o : s.inputs) judge(rightness<V>(sensed<V>(read(o)), sensed<V>(healthy(o.node))));
  if (s.control) {  // plane low: held in reset
    const Planes<V> reset = sensed<V>(read(*s.control));
    const Rightness<V> r = rightness<V>(reset, sensed<V>(healthy(s.control->node)));
    out.right &= ~anywhere_in(~r.right & normal_);
    out.low |= anywhere_in(reset.high & r.wrong & normal_);
    out.wrong |= anywhere_in((reset.low | reset.moving()) & r.wrong & normal_);
  }
  if (s.power) judge(rightness<V>(value(s.power->node), healthy(s.power->node)));
  if (part_patch_of_[s.part] != 0) {
    const V dead = part_patches_[part_patch_of_[s.part] - 1].second.dead;
    out.right &= ~dead;
    out.wrong |= dead;
  }
  return out;
}

template <class V>
Planes<V> Kernel<V>::next_program(const Storage& s, const V& sample_slots) const {
  Planes<V> out;
  out.right = all_ones<V>();
  if (reference_run_ || s.samples.empty()) return out;
  const V samples = sample_slots & occurs_;
  for (const auto& o : s.inputs) {
    const Rightness<V> r = rightness<V>(sensed<V>(read(o)), sensed<V>(healthy(o.node)));
    out.right &= ~anywhere_in(~r.right & samples);
    out.wrong |= anywhere_in(r.wrong & samples);
  }
  return out;
}

template <class V>
Planes<V> Kernel<V>::next_state(std::uint32_t id) const {
  const Storage& s = net_.storages[id];
  Planes<V> out;
  switch (s.kind) {
    case Storage::Kind::bit: out = next_bit(s, samples_[id]); break;
    case Storage::Kind::content: out = next_content(s, samples_[id]); break;
    case Storage::Kind::alive: out = next_alive(s); break;
    case Storage::Kind::program_rom:
    case Storage::Kind::program_ram: out = next_program(s, samples_[id]); break;
  }
  for (const auto& [patched, patch] : storage_patches_) {
    if (patched != id) continue;
    out = choose<V>(patch.wrong | patch.dead, only_wrong<V>(), out);
    out = choose<V>(patch.stuck, Planes<V>{all_ones<V>(), all_ones<V>(), V{}, V{}, V{}, V{}}, out);  // one level, which one isn't known
  }
  return out;
}

template <class V>
bool Kernel<V>::update_storages(bool programs) {
  const V before = occurs_;
  std::vector<std::pair<std::uint32_t, Planes<V>>> fresh;
  for (std::uint32_t id = 0; id < net_.storages.size(); ++id) {
    if (!state_dirty_[id]) continue;
    const auto kind = net_.storages[id].kind;
    const bool program = kind == Storage::Kind::program_rom || kind == Storage::Kind::program_ram;
    if (program && !programs) continue;
    state_dirty_[id] = false;
    fresh.push_back({id, next_state(id)});
  }
  bool changed = false;
  for (auto& [id, state] : fresh) {
    if (!reference_run_) {
      if (!may_recover_) state.right &= states_[id].right;  // never back to good
      state.wrong |= ~state.any();
    }
    if (same<V>(state, states_[id])) continue;
    states_[id] = state;
    changed = true;
    mark(net_.storages[id].node);
    const auto kind = net_.storages[id].kind;
    if (kind == Storage::Kind::alive || kind == Storage::Kind::program_rom || kind == Storage::Kind::program_ram)
      for (const NodeId k : master_nodes_) mark(k);
  }
  if (changed) {
    update_occurs();
    if (!same<V>(before, occurs_)) std::fill(state_dirty_.begin(), state_dirty_.end(), true);
  }
  return changed;
}

template <class V>
void Kernel<V>::run(const std::function<void()>& before_crash) {
  if (++generation_ == 0) {
    std::fill(stamp_.begin(), stamp_.end(), 0u);
    generation_ = 1;
  }
  std::fill(dirty_.begin(), dirty_.end(), 0);
  std::fill(state_dirty_.begin(), state_dirty_.end(), false);
  for (std::size_t i = 0; i < states_.size(); ++i) states_[i] = splat<V>(net_.storages[i].healthy);
  cold_ = reference_run_ = false;
  update_occurs();
  touch_patches();
  for (const bool programs : {false, true}) {
    settle();
    for (int round = 0; round < kMostRounds && update_storages(programs); ++round) settle();
    if (!programs && before_crash) before_crash();
  }
}

template <class V>
void Kernel<V>::run_cold(Start start, const std::function<void()>& before_crash) {
  for (std::size_t i = 0; i < states_.size(); ++i) states_[i] = start == Start::bad_flags ? only_wrong<V>() : splat<V>(net_.storages[i].healthy);
  may_recover_ = start == Start::bad_flags;
  settle_cold(before_crash);
  may_recover_ = false;
}

template <class V>
void Kernel<V>::run_reference() {
  for (auto& state : states_) {
    state = Planes<V>{};
    state.right = all_ones<V>();
  }
  reference_run_ = true;
  settle_cold({});
  reference_run_ = false;
}

template <class V>
void Kernel<V>::settle_cold(const std::function<void()>& before_crash) {
  ++generation_;
  std::fill(dirty_.begin(), dirty_.end(), 0);
  std::fill(state_dirty_.begin(), state_dirty_.end(), true);
  cold_ = true;
  for (NodeId i = 0; i < net_.ops.size(); ++i) { store(i, everything<V>()); mark(i); }
  update_occurs();
  if (reference_run_) occurs_ = normal_;
  touch_patches();
  for (const bool programs : {false, true}) {
    settle();
    for (int round = 0; round < kMostRounds && update_storages(programs); ++round) {
      if (reference_run_) occurs_ = normal_;
      settle();
    }
    if (!programs && before_crash) before_crash();
  }
  cold_ = false;
}

template <class V>
Planes<V> Kernel<V>::running(std::uint32_t master) const {
  const Master& m = net_.masters[master];
  Planes<V> out;
  out.right = states_[m.alive].right & states_[m.rom].right & states_[m.ram].right;
  out.wrong = states_[m.alive].wrong | states_[m.alive].low | states_[m.rom].wrong | states_[m.ram].wrong;
  return out;
}

/// The storage is the source of the clock that makes the phases.
template <class V>
bool Kernel<V>::feeds_phase(NodeId node) const {
  for (std::uint32_t k = net_.readers_first[node]; k < net_.readers_first[node + 1]; ++k)
    if (net_.ops[net_.readers[k]].kind == OpKind::phase) return true;
  return false;
}

template <class V>
void Kernel<V>::sweep(const std::vector<Planes<V>>& master_values, const std::vector<NodeId>& wanted_order, bool active) {
  ++generation_;
  sweep_active_ = active;
  for (std::size_t i = 0; i < states_.size(); ++i) {
    const Storage& s = net_.storages[i];
    states_[i] = {};
    const bool rests = s.kind == Storage::Kind::bit && s.data && !feeds_phase(s.node);
    (rests ? states_[i].low : states_[i].right) = all_ones<V>();
  }
  swept_ = reference_run_ = true;
  sweep_values_ = &master_values;
  for (const NodeId node : wanted_order) store(node, everything<V>());
  for (std::size_t i = 0; i < wanted_order.size();) {
    const NodeId first = net_.group[wanted_order[i]];
    std::size_t end = i + 1;
    while (end < wanted_order.size() && net_.group[wanted_order[end]] == first) ++end;
    bool changed = true;
    for (int pass = 0; pass < kMostSweeps && changed; ++pass) {
      changed = false;
      for (std::size_t k = i; k < end; ++k) {
        const Planes<V> fresh = evaluate(wanted_order[k]);
        if (same<V>(fresh, values_[wanted_order[k]])) continue;
        values_[wanted_order[k]] = fresh;
        changed = end - i > 1;
      }
    }
    i = end;
  }
  swept_ = reference_run_ = false;
}

template class Kernel<Word64>;
template class Kernel<Lanes2>;
template class Kernel<Lanes8>;

}  // namespace halfsplit::logic
