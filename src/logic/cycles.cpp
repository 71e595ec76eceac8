// Long because: the sweep, the slots and the reference run share one builder.
#include "logic/cycles.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <map>
#include <set>

#include "logic/kernel.h"

namespace halfsplit::logic {
namespace {

using board::PartId;
using board::PinId;
using parts::Block;
using parts::BusCycle;
using parts::Template;

constexpr std::uint32_t kMostSlots = 128;
constexpr std::array<Word64, 6> kAddressBits{0xaaaaaaaaaaaaaaaaull, 0xccccccccccccccccull, 0xf0f0f0f0f0f0f0f0ull, 0xff00ff00ff00ff00ull, 0xffff0000ffff0000ull, 0xffffffff00000000ull};

/// A decoded line that tells whether a part takes part in a transfer.
struct Signal {
  NodeId node;
  std::uint32_t part;
  bool edge;    ///< a clock: takes part when its level differs from the idle one
  bool drives;  ///< enables an output (read), else it is a strobe that stores (write)
  std::uint64_t bits = 0;  ///< data lines that it drives (of the processor) or stores (of any bus), as positions in a list of nets
};

class AddressSet {
 public:
  explicit AddressSet(std::size_t count) : words_((count + 63) / 64, 0) {}
  void add_word(std::size_t word, Word64 bits) { words_[word] |= bits; }
  bool has(std::uint32_t address) const { return (words_[address >> 6] >> (address & 63)) & 1; }
  void remove(std::uint32_t address) { words_[address >> 6] &= ~(Word64{1} << (address & 63)); }
  std::uint64_t count() const {
    std::uint64_t n = 0;
    for (const auto w : words_) n += static_cast<std::uint64_t>(__builtin_popcountll(w));
    return n;
  }
  std::optional<std::uint32_t> first() const {
    for (std::size_t i = 0; i < words_.size(); ++i)
      if (words_[i]) return static_cast<std::uint32_t>(i * 64 + static_cast<std::size_t>(__builtin_ctzll(words_[i])));
    return std::nullopt;
  }
  std::optional<std::uint32_t> last() const {
    for (std::size_t i = words_.size(); i-- > 0;)
      if (words_[i]) return static_cast<std::uint32_t>(i * 64 + 63 - static_cast<std::size_t>(__builtin_clzll(words_[i])));
    return std::nullopt;
  }

 private:
  std::vector<Word64> words_;
};

struct Cube { std::uint32_t value = 0, free = 0; };

/// Grows a cube from a seed, low bits first or high bits first, while it stays inside the set.
Cube grown(const AddressSet& set, std::uint32_t seed, std::uint32_t bits, bool low_first) {
  Cube cube{seed, 0};
  std::vector<std::uint32_t> members{seed};
  for (std::uint32_t i = 0; i < bits; ++i) {
    const std::uint32_t bit = 1u << (low_first ? i : bits - 1 - i);
    const bool inside = std::all_of(members.begin(), members.end(), [&](std::uint32_t a) { return set.has(a ^ bit); });
    if (!inside) continue;
    const std::size_t n = members.size();
    for (std::size_t k = 0; k < n; ++k) members.push_back(members[k] ^ bit);
    cube.free |= bit;
  }
  cube.value = seed & ~cube.free;
  return cube;
}

Cube largest_cube(const AddressSet& set, std::uint32_t bits) {
  Cube best;
  int best_bits = -1;
  for (const auto seed : {set.first(), set.last()})
    for (const bool low_first : {true, false}) {
      const Cube cube = grown(set, *seed, bits, low_first);
      if (__builtin_popcount(cube.free) > best_bits) { best = cube; best_bits = __builtin_popcount(cube.free); }
    }
  return best;
}

void take_out(AddressSet& set, const Cube& cube) {
  std::uint32_t sub = 0;
  do {
    set.remove(cube.value | sub);
    sub = (sub - cube.free) & cube.free;
  } while (sub != 0);
}

class Builder {
 public:
  Builder(const board::Machine& machine, Slots slots) : machine_(machine) {
    out_.network = compile(machine, out_.notes);
    net().one_value = slots == Slots::one_value;
  }

  Prepared run() {
    find_signals();
    find_polarity();
    phases_ = 2 + delay_depth();
    for (std::uint32_t m = 0; m < net().masters.size(); ++m)
      for (std::uint16_t c = 0; c < net().masters[m].block->cycles.size(); ++c) add_cycles(m, c);
    keep_what_fits();
    name_cycles();
    if (net().one_value) phases_ = 1;
    for (auto& cycle : net().cycles) cycle.phases = phases_;
    lay_slots();
    set_master_pins();
    find_reference();
    if (phases_ > 2) shorten_cycles();
    return std::move(out_);
  }

 private:
  Network& net() { return out_.network; }

  void find_signals() {
    std::set<std::pair<NodeId, std::uint32_t>> seen;
    for (std::uint32_t pin = 0; pin < machine_.pins().size(); ++pin) {
      const NodeId node = net().drive_node[pin];
      if (node == kNone32) continue;
      const Operand enable = net().operands[net().ops[node].first + 1];
      const std::uint32_t part = machine_.pins()[pin].part.index();
      if (enable.node == kNone32 || !seen.insert({enable.node, part}).second) continue;
      signals_.push_back({enable.node, part, false, true, 0});
    }
    for (const auto& s : net().storages) {
      const auto& strobe = s.write ? s.write : s.clock;
      if (!strobe || (s.kind == Storage::Kind::bit && !s.data)) continue;
      if (!seen.insert({strobe->node, s.part}).second) continue;
      signals_.push_back({strobe->node, s.part, s.kind == Storage::Kind::bit && !s.level, false, 0});
    }
    for (auto& s : signals_) s.bits = data_lines(s);
    std::vector<bool> wanted(net().ops.size(), false);
    std::vector<NodeId> queue;
    const auto want = [&](NodeId node) { if (node != kNone32 && !wanted[node]) { wanted[node] = true; queue.push_back(node); } };
    for (const auto& s : signals_) want(s.node);
    for (const auto& master : net().masters)
      for (const auto& cycle : master.block->cycles)
        if (cycle.phase_clock)
          if (const auto clock = machine_.pin(machine_.pin_of(PartId(master.part), *cycle.phase_clock)).net; clock.known()) want(net().net_node[clock.index()]);
    for (std::size_t head = 0; head < queue.size(); ++head) {
      const Op& op = net().ops[queue[head]];
      const NodeId first = net().group[queue[head]];
      for (std::uint32_t i = 0; i < net().group_size[first]; ++i) want(first + i);
      if (op.kind == OpKind::all_right || op.kind == OpKind::both_right) continue;
      if (op.kind == OpKind::strong || op.kind == OpKind::resolve)
        for (std::uint32_t k = 0; k < op.count; ++k) want(net().contributions[op.first + k].node);
      else
        for (std::uint32_t k = 0; k < op.count; ++k) want(net().operands[op.first + k].node);
    }
    for (NodeId i = 0; i < wanted.size(); ++i)
      if (wanted[i]) order_.push_back(i);
  }

  /// The clock source may reach the processor through inverters: one settled transfer tells.
  void find_polarity() {
    for (const auto& master : net().masters)
      for (const auto& cycle : master.block->cycles) {
        if (!cycle.phase_clock) continue;
        const auto clock = machine_.pin(machine_.pin_of(PartId(master.part), *cycle.phase_clock)).net;
        if (!clock.known() || !std::binary_search(order_.begin(), order_.end(), net().net_node[clock.index()])) continue;
        Kernel<Lanes8> kernel(net());
        std::vector<std::array<Word64, 8>> levels(signals_.size());
        sweep(kernel, master, cycle, {}, 0, true, levels);
        const auto p = kernel.value(net().net_node[clock.index()]);
        if (p.low[0] != 0 && p.high[0] == 0) net().phase_inverted = true;
        return;
      }
  }

  /// Most delays in a row on any way to a strobe or enable.
  std::uint32_t delay_depth() {
    std::vector<std::uint32_t> depth(net().ops.size(), 0);
    std::uint32_t most = 0;
    std::set<NodeId> strobes;
    for (const auto& s : signals_) strobes.insert(s.node);
    for (const auto& s : net().sampled) { strobes.insert(s.row.node); strobes.insert(s.column.node); strobes.insert(s.node); }
    for (NodeId i = 0; i < net().ops.size(); ++i) {
      const Op& op = net().ops[i];
      const auto take = [&](NodeId n) { if (n != kNone32 && n < i) depth[i] = std::max(depth[i], depth[n]); };
      if (op.kind == OpKind::strong || op.kind == OpKind::resolve)
        for (std::uint32_t k = 0; k < op.count; ++k) take(net().contributions[op.first + k].node);
      else
        for (std::uint32_t k = 0; k < op.count; ++k) take(net().operands[op.first + k].node);
      if (op.kind == OpKind::delay) ++depth[i];
      if (strobes.count(i)) most = std::max(most, depth[i]);
    }
    return std::min(most, 4u);
  }

  const std::vector<std::uint16_t>& address_pins(const Master& master, const BusCycle& cycle) const {
    return cycle.address.empty() ? master.block->port("address") : cycle.address;
  }

  /// Positions of the address lines that the decode looks at; the others need not be swept.
  std::vector<std::uint32_t> decoded_bits(const Master& master, const std::vector<std::uint16_t>& address, std::uint32_t all_bits) {
    std::vector<std::uint32_t> out;
    for (std::uint32_t k = 0; k < all_bits && out.size() < 18; ++k) {
      const std::uint32_t pin = machine_.pin_of(PartId(master.part), address[k]).index();
      const bool looked_at = std::any_of(order_.begin(), order_.end(), [&](NodeId n) {
        return net().ops[n].kind == OpKind::master && net().master_pins[net().ops[n].aux].pin == pin;
      });
      if (looked_at) out.push_back(k);
    }
    return out;
  }
  static std::uint32_t spread_out(std::uint32_t packed, const std::vector<std::uint32_t>& positions) {
    std::uint32_t out = 0;
    for (std::size_t i = 0; i < positions.size(); ++i) out |= ((packed >> i) & 1u) << positions[i];
    return out;
  }

  /// Parts that act when a transfer goes to each address, grouped.
  void add_cycles(std::uint32_t m, std::uint16_t c) {
    const Master& master = net().masters[m];
    const BusCycle& cycle = master.block->cycles[c];
    const auto& address = address_pins(master, cycle);
    const std::uint32_t all_bits = static_cast<std::uint32_t>(std::min<std::size_t>(address.size(), 24));
    const std::vector<std::uint32_t> decoded = decoded_bits(master, address, all_bits);
    const std::uint32_t bits = static_cast<std::uint32_t>(decoded.size());
    if (cycle.direction == BusCycle::Direction::none || all_bits == 0 || !master.processor) {
      Cycle made;
      made.master = m;
      made.bus_cycle = c;
      made.addresses = 1ull << all_bits;
      net().cycles.push_back(made);
      return;
    }
    const std::size_t count = std::size_t{1} << bits;
    out_.swept += std::uint64_t{1} << all_bits;
    std::vector<std::uint16_t> wires;
    for (const auto k : decoded) wires.push_back(address[k]);
    Kernel<Lanes8> kernel(net());
    std::map<std::vector<std::uint32_t>, AddressSet> groups;
    std::map<std::vector<std::uint32_t>, std::size_t> drivers;
    answers_.clear();
    const bool reads = cycle.direction == BusCycle::Direction::read;
    for (std::size_t base = 0; base < count; base += 512) {
      std::vector<std::array<Word64, 8>> idle(signals_.size()), level(signals_.size());
      sweep(kernel, master, cycle, wires, base, false, idle);
      sweep(kernel, master, cycle, wires, base, true, level);
      for (std::size_t w = 0; w < 8 && base + w * 64 < count; ++w) add_word(groups, drivers, base / 64 + w, w, idle, level, reads, std::min<std::size_t>(64, count - base - w * 64));
    }
    for (const auto& parts : idle_conflicts_) out_.conflicts.push_back({cycle.name + ", strobes idle", 0, 0, parts});
    idle_conflicts_.clear();
    // A part that only ever answers together with another keeps those transfers: the fight is the finding.
    std::set<std::uint32_t> alone;
    for (const auto& [parts, set] : groups)
      if (drivers[parts] <= 1) alone.insert(parts.begin(), parts.end());
    for (auto& [parts, set] : groups) {
      const bool clean = drivers[parts] <= 1;
      const bool only_so = std::any_of(parts.begin(), parts.end(), [&](std::uint32_t p) { return alone.count(p) == 0 && takes_part(p, reads); });
      if (clean || only_so) take_group(m, c, parts, set, decoded, all_bits, drivers[parts], cycle);
    }
  }

  bool takes_part(std::uint32_t part, bool reads) const {
    return std::any_of(signals_.begin(), signals_.end(), [&](const Signal& s) { return s.part == part && s.drives == reads && (s.bits != 0 || !reads); });
  }

  void sweep(Kernel<Lanes8>& kernel, const Master& master, const BusCycle& cycle, const std::vector<std::uint16_t>& address, std::size_t base, bool active,
             std::vector<std::array<Word64, 8>>& levels) {
    std::vector<Planes<Lanes8>> values(net().master_pins.size());
    const Lanes8 on = ~Lanes8{};
    for (std::size_t i = 0; i < values.size(); ++i) values[i].right = on;
    const auto number_of = [&](std::uint16_t type_pin) {
      const std::uint32_t pin = machine_.pin_of(PartId(master.part), type_pin).index();
      for (std::size_t i = 0; i < net().master_pins.size(); ++i)
        if (net().master_pins[i].pin == pin) return i;
      return values.size();
    };
    const auto set = [&](std::uint16_t pin, Lanes8 high) {
      const std::size_t i = number_of(pin);
      if (i == values.size()) return;
      values[i] = {};
      values[i].high = high;
      values[i].low = ~high;
    };
    for (const auto pin : master.block->port("address")) set(pin, Lanes8{});
    for (std::size_t k = 0; k < address.size(); ++k) {
      Lanes8 high{};
      for (std::uint32_t lane_no = 0; lane_no < 8; ++lane_no) {
        const std::size_t start = base + lane_no * 64;
        high[lane_no] = k < 6 ? kAddressBits[k] : ((start >> k) & 1) ? ~Word64{0} : 0;
      }
      set(address[k], high);
    }
    for (const auto& [pin, high] : active ? cycle.active : cycle.setup) set(pin, high ? on : Lanes8{});
    for (const auto pin : master.block->port("data")) {
      const std::size_t i = number_of(pin);
      if (i == values.size()) continue;
      values[i] = {};
      (cycle.direction == BusCycle::Direction::write && active ? values[i].right : values[i].none) = on;
    }
    kernel.sweep(values, order_, active);
    for (std::size_t i = 0; i < signals_.size(); ++i) {
      const Planes<Lanes8> p = kernel.value(signals_[i].node);
      for (std::size_t w = 0; w < 8; ++w) levels[i][w] = p.high[w] & ~p.low[w];
    }
  }

  void add_word(std::map<std::vector<std::uint32_t>, AddressSet>& groups, std::map<std::vector<std::uint32_t>, std::size_t>& drivers, std::size_t word, std::size_t w,
                const std::vector<std::array<Word64, 8>>& idle, const std::vector<std::array<Word64, 8>>& level, bool reads, std::size_t valid) {
    Word64 left = valid == 64 ? ~Word64{0} : (Word64{1} << valid) - 1;
    std::vector<Word64> acts(signals_.size());
    for (std::size_t i = 0; i < signals_.size(); ++i) acts[i] = signals_[i].edge ? level[i][w] ^ idle[i][w] : level[i][w];
    note_idle(idle, w, left, reads);
    while (left != 0) {
      const std::uint32_t bit = static_cast<std::uint32_t>(__builtin_ctzll(left));
      Word64 alike = left;
      for (std::size_t i = 0; i < signals_.size(); ++i) alike &= ((acts[i] >> bit) & 1) ? acts[i] : ~acts[i];
      std::vector<std::uint32_t> parts;
      std::map<std::uint32_t, std::uint64_t> answering;  // part -> data lines
      for (std::size_t i = 0; i < signals_.size(); ++i) {
        if (!((acts[i] >> bit) & 1)) continue;
        const bool changes = ((level[i][w] ^ idle[i][w]) >> bit) & 1;
        if (changes || (signals_[i].drives && signals_[i].bits != 0)) parts.push_back(signals_[i].part);
        if (signals_[i].drives != reads) continue;
        if (reads ? signals_[i].bits != 0 : changes) answering[signals_[i].part] |= signals_[i].bits;
      }
      std::sort(parts.begin(), parts.end());
      parts.erase(std::unique(parts.begin(), parts.end()), parts.end());
      if (!answering.empty()) {
        groups.try_emplace(parts, AddressSet(1u << 18)).first->second.add_word(word, alike);
        drivers[parts] = most_on_one_line(answering);
        auto& who = answers_[parts];
        for (const auto& [part, lines] : answering) who.push_back(part);
        std::sort(who.begin(), who.end());
        who.erase(std::unique(who.begin(), who.end()), who.end());
      }
      left &= ~alike;
    }
  }

  /// Who drives the data lines before the strobes are active: a select on the wrong phase shows here.
  void note_idle(const std::vector<std::array<Word64, 8>>& idle, std::size_t w, Word64 valid, bool reads) {
    if (!reads) return;
    Word64 left = valid;
    while (left != 0) {
      const std::uint32_t bit = static_cast<std::uint32_t>(__builtin_ctzll(left));
      Word64 alike = left;
      std::map<std::uint32_t, std::uint64_t> answering;
      for (std::size_t i = 0; i < signals_.size(); ++i) {
        if (!signals_[i].drives || signals_[i].bits == 0) continue;
        alike &= ((idle[i][w] >> bit) & 1) ? idle[i][w] : ~idle[i][w];
        if ((idle[i][w] >> bit) & 1) answering[signals_[i].part] |= signals_[i].bits;
      }
      std::vector<std::uint32_t> parts;
      for (const auto& [part, bits] : answering) parts.push_back(part);
      out_.idle_selected.insert(out_.idle_selected.end(), parts.begin(), parts.end());
      if (most_on_one_line(answering) > 1) idle_conflicts_.insert(parts);
      left &= ~alike;
    }
  }

  /// Two chips of half a byte each count as one answer; a part behind a buffer counts for itself.
  static std::size_t most_on_one_line(const std::map<std::uint32_t, std::uint64_t>& answering) {
    std::array<std::size_t, 64> lines{};
    std::size_t behind = 0;
    for (const auto& [part, bits] : answering) {
      behind += bits == 0;
      for (std::uint32_t i = 0; i < 64; ++i) lines[i] += (bits >> i) & 1;
    }
    return *std::max_element(lines.begin(), lines.end()) + behind;
  }

  /// Data lines of a processor that the signal's outputs sit on, or that its strobe stores.
  std::uint64_t data_lines(const Signal& signal) {
    std::uint64_t bits = 0;
    const auto add_any = [&](std::uint32_t net_id) {
      const std::uint32_t cluster = net().cluster[net_id];
      auto at = std::find(stored_lines_.begin(), stored_lines_.end(), cluster);
      if (at == stored_lines_.end() && stored_lines_.size() < 64) at = stored_lines_.insert(at, cluster);
      if (at != stored_lines_.end()) bits |= std::uint64_t{1} << (at - stored_lines_.begin());
    };
    const auto add = [&](std::uint32_t net_id) {
      for (const auto& master : net().masters) {
        const auto& data = master.block->port("data");
        for (std::size_t k = 0; k < data.size() && k < 32; ++k) {
          const auto other = machine_.pin(machine_.pin_of(PartId(master.part), data[k])).net;
          if (other.known() && net().cluster[net_id] == net().cluster[other.index()]) bits |= std::uint64_t{1} << k;
        }
      }
    };
    const auto& part = machine_.parts()[signal.part];
    if (signal.drives) {
      for (std::uint32_t i = 0; i < part.pin_count; ++i) {
        const std::uint32_t pin = part.first_pin.index() + i;
        const NodeId node = net().drive_node[pin];
        if (node == kNone32 || net().operands[net().ops[node].first + 1].node != signal.node) continue;
        if (machine_.pins()[pin].net.known()) add(machine_.pins()[pin].net.index());
      }
    } else {
      for (const auto s : net().part_storages[signal.part]) {
        const auto& storage = net().storages[s];
        const auto& strobe = storage.write ? storage.write : storage.clock;
        if (strobe && strobe->node == signal.node && storage.data && net().ops[storage.data->node].kind == OpKind::resolve) add_any(net().ops[storage.data->node].aux);
      }
    }
    return bits;
  }

  void take_group(std::uint32_t m, std::uint16_t c, const std::vector<std::uint32_t>& parts, AddressSet set, const std::vector<std::uint32_t>& decoded, std::uint32_t all_bits,
                  std::size_t responders, const BusCycle& cycle) {
    const std::uint32_t bits = static_cast<std::uint32_t>(decoded.size());
    const std::uint64_t total = set.count(), each = std::uint64_t{1} << (all_bits - bits);
    if (total == 0) return;
    if (responders > 1) out_.conflicts.push_back({cycle.name, spread_out(*set.first(), decoded), total * each, parts});
    for (int i = 0; i < 2 && set.first(); ++i) {
      const Cube cube = largest_cube(set, bits);
      const std::uint64_t size = 1ull << __builtin_popcount(cube.free);
      if (i > 0 && size * 4 < total) break;
      Cycle made;
      made.master = m;
      made.bus_cycle = c;
      made.parts = parts;
      made.answers = answers_[parts];
      made.responders = responders;
      made.fixed = spread_out(((1u << bits) - 1) & ~cube.free, decoded);
      made.value = spread_out(cube.value, decoded);
      made.addresses = size * each;
      net().cycles.push_back(made);
      take_out(set, cube);
    }
  }

  void keep_what_fits() {
    auto& cycles = net().cycles;
    const std::size_t per_word = 64 / phases_;
    const std::size_t most = per_word * 2 - 1;
    if (cycles.size() <= most) return;
    std::vector<std::size_t> order(cycles.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return cycles[a].addresses > cycles[b].addresses; });
    std::sort(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(most));
    std::vector<Cycle> kept;
    for (std::size_t i = 0; i < most; ++i) kept.push_back(cycles[order[i]]);
    out_.notes.push_back({"only the " + std::to_string(most) + " largest of " + std::to_string(cycles.size()) + " kinds of bus cycle are followed"});
    cycles = std::move(kept);
  }

  void name_cycles() {
    std::map<std::string, int> used;
    for (auto& cycle : net().cycles) {
      const Master& master = net().masters[cycle.master];
      const auto& bus = master.block->cycles[cycle.bus_cycle];
      cycle.name = bus.name;
      for (const auto part : cycle.answers) cycle.name += " " + machine_.parts()[part].ref;
      if (const int n = ++used[cycle.name]; n > 1) cycle.name += " #" + std::to_string(n);
    }
  }

  void lay_slots() {
    Network& n = net();
    std::uint32_t next = 0;
    for (auto& cycle : n.cycles) {
      if (next % 64 + cycle.phases > 64) next = (next / 64 + 1) * 64;
      cycle.first_slot = next;
      next += cycle.phases;
    }
    n.stopped_slot = next;
    n.slot_count = next + 1;
    n.words = n.slot_count > 64 ? 2 : 1;
    for (auto* mask : {&n.not_first, &n.not_last, &n.used, &n.normal, &n.stopped, &n.active, &n.last_phase}) mask->assign(n.words, 0);
    const auto set = [](std::vector<Word64>& mask, std::uint32_t slot) { mask[slot / 64] |= Word64{1} << (slot % 64); };
    for (auto& master : n.masters) master.slots.assign(n.words, 0);
    for (const auto& cycle : n.cycles)
      for (std::uint32_t p = 0; p < cycle.phases; ++p) {
        const std::uint32_t slot = cycle.first_slot + p;
        set(n.used, slot);
        set(n.normal, slot);
        set(n.masters[cycle.master].slots, slot);
        if (p > 0) { set(n.not_first, slot); set(n.active, slot); }
        if (p + 1 < cycle.phases) set(n.not_last, slot);
        else set(n.last_phase, slot);
      }
    set(n.used, n.stopped_slot);
    set(n.stopped, n.stopped_slot);
    if (n.cycles.empty()) n.normal = n.stopped;
  }

  /// A cycle in which no delay is under way needs two phases only.
  void shorten_cycles() {
    Network& n = net();
    for (auto& cycle : n.cycles) {
      bool differs = false;
      for (NodeId node = 0; node < n.ops.size() && !differs; ++node) {
        const auto& p = n.healthy(node, cycle.first_slot / 64);
        for (const Word64 plane : {p.low, p.high, p.right, p.none}) {
          const Word64 bits = (plane >> (cycle.first_slot % 64 + 1)) & ((Word64{1} << (cycle.phases - 1)) - 1);
          differs = differs || (bits != 0 && bits != (Word64{1} << (cycle.phases - 1)) - 1);
        }
      }
      if (!differs) cycle.phases = 2;
    }
    lay_slots();
    set_master_pins();
    find_reference();
  }

  void set_master_pins() {
    Network& n = net();
    for (auto& pin : n.master_pins) {
      for (auto* mask : {&pin.low, &pin.high, &pin.moves, &pin.none}) mask->assign(n.words, 0);
      const Master& master = n.masters[pin.master];
      const std::uint16_t type_pin = machine_.pins()[pin.pin].index;
      const auto& data = master.block->port("data");
      const bool is_data = std::find(data.begin(), data.end(), type_pin) != data.end();
      bool low = false, high = false, moves = false;
      for (const auto& cycle : n.cycles)
        for (std::uint32_t p = 0; p < cycle.phases; ++p) {
          const auto level = n.one_value ? level_of_cycle(master, cycle, pin, type_pin, is_data) : pin_level(master, cycle, pin, type_pin, is_data, p);
          const std::uint32_t slot = cycle.first_slot + p;
          auto& mask = level == 'L' ? pin.low : level == 'H' ? pin.high : level == 'M' ? pin.moves : pin.none;
          mask[slot / 64] |= Word64{1} << (slot % 64);
          low = low || level == 'L';
          high = high || level == 'H';
          moves = moves || level == 'M';
        }
      pin.in_reset = is_data ? MasterPin::Rest::open : MasterPin::Rest::unknown;
      if (!master.block->cycles.empty())
        for (const auto& [p, level] : master.block->cycles.front().setup)
          if (p == type_pin) pin.in_reset = level ? MasterPin::Rest::high : MasterPin::Rest::low;
      auto& mask = is_data ? pin.none : moves || (low && high) ? pin.moves : high ? pin.high : low ? pin.low : pin.moves;
      mask[n.stopped_slot / 64] |= Word64{1} << (n.stopped_slot % 64);
    }
  }
  /// Idle and active halves taken together: what differs between them moves.
  char level_of_cycle(const Master& master, const Cycle& cycle, const MasterPin& pin, std::uint16_t type_pin, bool is_data) {
    const char idle = pin_level(master, cycle, pin, type_pin, is_data, 0), active = pin_level(master, cycle, pin, type_pin, is_data, 1);
    return idle == active || idle == 'Z' ? active : 'M';
  }
  char pin_level(const Master& master, const Cycle& cycle, const MasterPin& pin, std::uint16_t type_pin, bool is_data, std::uint32_t phase) {
    const bool own = cycle.master == pin.master;
    const BusCycle& bus = master.block->cycles[own ? cycle.bus_cycle : 0];
    const bool yields = master.block->word("idle").value_or("moving") == "none";
    const auto& levels = own && phase > 0 ? bus.active : bus.setup;
    for (const auto& [p, high] : levels)
      if (p == type_pin) return high ? 'H' : 'L';
    if (is_data) return own && bus.direction == BusCycle::Direction::write && phase > 0 ? 'M' : 'Z';
    const auto& all = master.block->port("address");
    const auto& address = own && !bus.address.empty() ? bus.address : all;
    if (!own || phase == 0)
      if (yields) return 'Z';
    if (!own) return 'M';
    for (std::size_t k = 0; k < address.size(); ++k)
      if (address[k] == type_pin && ((cycle.fixed >> k) & 1)) return ((cycle.value >> k) & 1) ? 'H' : 'L';
    return 'M';
  }

  // ---- the healthy machine ----
  template <class V>
  void reference_run() {
    Network& n = net();
    for (int pass = 0; pass < 4; ++pass) {
      Kernel<V> kernel(n);
      kernel.run_reference();
      for (NodeId node = 0; node < n.ops.size(); ++node) {
        const Planes<V> p = kernel.value(node);
        for (std::uint32_t w = 0; w < n.words; ++w)
          n.reference[node * n.words + w] = {lane(p.low, w), lane(p.high, w), lane(p.right, w), lane(p.wrong, w), lane(p.none, w), lane(p.fight, w)};
      }
      for (std::uint32_t s = 0; s < n.storages.size(); ++s) {
        const Planes<V>& p = kernel.state(s);
        n.storages[s].healthy = {lane(p.low, 0), lane(p.high, 0), lane(p.right, 0), lane(p.wrong, 0), lane(p.none, 0), lane(p.fight, 0)};
      }
      find_samples();
      if (pass == 0 && !phase_is_right()) n.phase_inverted = !n.phase_inverted;
    }
  }
  void find_reference() {
    Network& n = net();
    n.reference.assign(n.ops.size() * n.words, {});
    if (n.words == 1) reference_run<Word64>();
    else reference_run<Lanes2>();
  }

  bool phase_is_right() {
    for (const auto& master : net().masters)
      for (const auto& cycle : master.block->cycles)
        if (cycle.phase_clock) {
          const auto net_id = machine_.pin(machine_.pin_of(PartId(master.part), *cycle.phase_clock)).net;
          if (!net_id.known()) continue;
          const auto& p = net().healthy(net().net_node[net_id.index()], 0);
          return (p.low & net().active[0]) == 0;
        }
    return true;
  }

  std::vector<Word64> high_of(const Operand& o) {
    std::vector<Word64> out(net().words);
    for (std::uint32_t w = 0; w < net().words; ++w) out[w] = net().healthy(o.node, w).high & net().normal[w];
    return out;
  }
  std::vector<Word64> moves_of(const Operand& o) {
    std::vector<Word64> out(net().words);
    for (std::uint32_t w = 0; w < net().words; ++w) out[w] = (net().healthy(o.node, w).right) & net().normal[w];
    return out;
  }
  /// Slots in which a level begins: high here, not in the phase before.
  std::vector<Word64> begins(const std::vector<Word64>& high) {
    std::vector<Word64> out(net().words);
    for (std::uint32_t w = 0; w < net().words; ++w) out[w] = high[w] & ~((high[w] << 1) & net().not_first[w]);
    return out;
  }

  void find_samples() {
    Network& n = net();
    const auto any = [](const std::vector<Word64>& v) { return std::any_of(v.begin(), v.end(), [](Word64 x) { return x != 0; }); };
    for (auto& s : n.sampled) {
      s.slots = begins(high_of(s.row));
      const auto column = begins(high_of(s.column));
      for (std::uint32_t w = 0; w < n.words; ++w) s.slots[w] |= column[w];
    }
    for (auto& s : n.storages) {
      s.samples.assign(n.words, 0);
      if (s.kind == Storage::Kind::content && s.write) {
        s.samples = high_of(*s.write);
        s.healthy_moves = any(s.samples);
      } else if (s.kind == Storage::Kind::bit && s.clock) {
        const auto high = high_of(*s.clock), moves = moves_of(*s.clock);
        if (s.level) {
          s.samples = high;
        } else if (any(high)) {
          const auto rises = rising(high);
          s.samples = rises;
        }
        for (std::uint32_t w = 0; w < n.words; ++w) s.samples[w] |= moves[w];
        s.healthy_moves = any(s.samples);
        if (!s.healthy_moves) s.samples.clear();
      } else if (s.kind == Storage::Kind::program_rom || s.kind == Storage::Kind::program_ram) {
        s.samples = program_samples(s);
        if (!any(s.samples)) s.samples.clear();
      } else {
        s.samples.clear();
        s.healthy_moves = s.kind == Storage::Kind::bit && s.healthy.right != 0;
      }
    }
  }
  /// A clock that rises inside cycles is sampled there; one that rests high and goes low for a cycle takes its data at that cycle's end.
  std::vector<Word64> rising(const std::vector<Word64>& high) {
    const Network& n = net();
    std::vector<Word64> inside(n.words), after(n.words);
    bool some = false;
    for (std::uint32_t w = 0; w < n.words; ++w) {
      inside[w] = high[w] & ~(high[w] << 1) & n.not_first[w];
      after[w] = ~high[w] & n.last_phase[w];
      some = some || inside[w] != 0;
    }
    return some ? inside : after;
  }
  static std::optional<std::uint32_t> number(const Block& block, std::string_view name) {
    const auto word = block.word(name);
    if (!word) return std::nullopt;
    std::string_view digits = *word;
    int base = 10;
    if (digits.substr(0, 2) == "0x") { digits.remove_prefix(2); base = 16; }
    std::uint32_t out = 0;
    if (std::from_chars(digits.data(), digits.data() + digits.size(), out, base).ec != std::errc{}) return std::nullopt;
    return out;
  }
  /// Slots in which the processor takes in what it cannot do without: the ROM it starts from; the memory under its stack, or the largest.
  std::vector<Word64> program_samples(const Storage& s) {
    const Network& n = net();
    std::vector<Word64> out(n.words, 0);
    const Master& master = n.masters[s.master];
    if (!master.processor) return out;
    const bool wants_rom = s.kind == Storage::Kind::program_rom;
    const auto address = number(*master.block, wants_rom ? "start" : "stack");
    std::uint64_t largest = 0;
    const auto fits = [&](const Cycle& cycle) {
      const auto& bus = master.block->cycles[cycle.bus_cycle];
      if (cycle.master != s.master || bus.direction != BusCycle::Direction::read || bus.space == "io") return false;
      return std::any_of(cycle.parts.begin(), cycle.parts.end(), [&](std::uint32_t part) { return is_memory(part, wants_rom); });
    };
    std::set<std::uint32_t> chosen;
    for (const bool by_address : {true, false}) {
      if (!chosen.empty() || (by_address && !address)) continue;
      for (const auto& cycle : n.cycles) if (fits(cycle)) largest = std::max(largest, cycle.addresses);
      for (const auto& cycle : n.cycles)
        if (fits(cycle) && (by_address ? (*address & cycle.fixed) == cycle.value : (wants_rom || cycle.addresses == largest)))
          for (const auto part : cycle.parts) if (is_memory(part, wants_rom)) chosen.insert(part);
    }
    for (const auto& cycle : n.cycles)
      if (fits(cycle) && std::any_of(cycle.parts.begin(), cycle.parts.end(), [&](std::uint32_t p) { return chosen.count(p) > 0; })) {
        const std::uint32_t slot = cycle.first_slot + cycle.phases - 1;
        out[slot / 64] |= Word64{1} << (slot % 64);
      }
    return out;
  }
  bool is_memory(std::uint32_t part, bool rom) const {
    for (const auto& block : machine_.parts()[part].type->blocks)
      if (block.kind == Template::memory) return (block.word("kind").value_or("sram") == "rom") == rom;
    return false;
  }

  const board::Machine& machine_;
  Prepared out_;
  std::vector<Signal> signals_;
  std::vector<NodeId> order_;
  std::vector<std::uint32_t> stored_lines_;
  std::set<std::vector<std::uint32_t>> idle_conflicts_;
  std::map<std::vector<std::uint32_t>, std::vector<std::uint32_t>> answers_;
  std::uint32_t phases_ = 2;
};

}  // namespace

Prepared prepare(const board::Machine& machine, Slots slots) { return Builder(machine, slots).run(); }

}  // namespace halfsplit::logic
