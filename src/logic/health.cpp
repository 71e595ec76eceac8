#include "logic/health.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"

namespace halfsplit::logic {
namespace {

using board::Finding;
using board::NetKind;
using board::PartId;
using board::PinId;
using parts::BusCycle;
using parts::PinRole;
using parts::Template;
using Grade = Finding::Grade;

class Examiner {
 public:
  explicit Examiner(const Activity& activity) : activity_(activity), net_(activity.network()), machine_(activity.machine()) {}

  std::vector<Finding> run() {
    for (const auto& note : activity_.prepared().notes) add(Grade::warning, note.message.rfind("no clock", 0) == 0 ? "no-clock" : "not-modelled", note.message, "");
    conflicts();
    fights();
    floating_inputs();
    samples();
    selections();
    rows_and_columns();
    functions();
    static_outputs();
    std::stable_sort(out_.begin(), out_.end(), [](const Finding& a, const Finding& b) { return a.grade < b.grade; });
    return std::move(out_);
  }

 private:
  void add(Grade grade, std::string kind, std::string message, std::string hint, std::vector<PinId> pins = {}) {
    out_.push_back({grade, std::move(kind), std::move(message), std::move(hint), std::move(pins)});
  }
  static bool bit(const std::vector<Word64>& mask, std::uint32_t slot) { return (mask[slot / 64] >> (slot % 64)) & 1; }
  bool in(Word64 Planes<Word64>::*plane, NodeId node, std::uint32_t slot) const { return (net_.healthy(node, slot / 64).*plane >> (slot % 64)) & 1; }
  std::string cycle_of(std::uint32_t slot) const {
    for (const auto& c : net_.cycles)
      if (slot >= c.first_slot && slot < c.first_slot + c.phases) return c.name;
    return "no cycle";
  }
  std::string part_list(const std::set<std::uint32_t>& parts) const {
    std::vector<std::string> names;
    for (const auto p : parts) names.push_back(machine_.parts()[p].ref);
    std::sort(names.begin(), names.end(), natural_less);
    return join(names, ", ");
  }

  /// Two outputs that drive one net in the same slot, grouped by the parts concerned.
  void fights() {
    struct Fight { std::set<std::string> nets; std::string cycle; std::vector<PinId> pins; };
    std::map<std::set<std::uint32_t>, Fight> found;
    for (std::uint32_t n = 0; n < machine_.nets().size(); ++n) {
      const Op& op = net_.ops[net_.strong_node[n]];
      if (net_.cluster[n] != n || op.count < 2) continue;
      for (std::uint32_t slot = 0; slot < net_.slot_count; ++slot) {
        if (!bit(net_.normal, slot)) continue;
        std::set<std::uint32_t> drivers;
        std::vector<PinId> pins;
        for (std::uint32_t k = 0; k < op.count; ++k) {
          const auto& c = net_.contributions[op.first + k];
          if (c.pin == kNone32 || in(&Planes<Word64>::none, c.node, slot)) continue;
          if (net_.ops[c.node].open_low || net_.ops[c.node].open_high) continue;
          drivers.insert(machine_.pins()[c.pin].part.index());
          pins.push_back(PinId(c.pin));
        }
        if (pins.size() < 2) continue;
        auto& fight = found[drivers];
        fight.nets.insert(machine_.nets()[n].name);
        if (fight.cycle.empty()) { fight.cycle = cycle_of(slot); fight.pins = pins; }
      }
    }
    const auto told = [&](const std::set<std::uint32_t>& parts) {
      return std::any_of(reported_.begin(), reported_.end(), [&](const auto& all) { return std::includes(all.begin(), all.end(), parts.begin(), parts.end()); });
    };
    for (const auto& [parts, fight] : found)
      if (!told(parts)) add(Grade::error, "fight", part_list(parts) + " drive " + *fight.nets.begin() + (fight.nets.size() > 1 ? " and " + std::to_string(fight.nets.size() - 1) + " more nets" : "") + " at the same time in '" + fight.cycle + "'",
          "is only one of them fitted, or is an enable wired wrongly?", fight.pins);
  }

  /// Addresses that several parts answer: an error where a part never answers alone, else a note.
  void conflicts() {
    std::set<std::uint32_t> alone;
    for (const auto& c : net_.cycles)
      if (c.responders <= 1) alone.insert(c.parts.begin(), c.parts.end());
    std::uint64_t overlapping = 0;
    std::set<std::uint32_t> sharing;
    for (const auto& conflict : activity_.prepared().conflicts) {
      std::set<std::uint32_t> never;
      for (const auto p : conflict.parts) if (alone.count(p) == 0) never.insert(p);
      if (never.empty()) {
        overlapping += conflict.addresses;
        sharing.insert(conflict.parts.begin(), conflict.parts.end());
        continue;
      }
      const std::set<std::uint32_t> all(conflict.parts.begin(), conflict.parts.end());
      if (!reported_.insert(all).second) continue;
      add(Grade::error, "fight", part_list(all) + " answer together (" + conflict.cycle + ", for example address " + hex_address(conflict.example) + ")", "is only one of them fitted?");
    }
    if (!sharing.empty())
      add(Grade::note, "overlap", part_list(sharing) + " share " + std::to_string(overlapping) + " addresses through loose decoding; programs must keep off them", "");
  }
  static std::string hex_address(std::uint32_t address) {
    static const char* digits = "0123456789ABCDEF";
    std::string out;
    for (int shift = address > 0xffff ? 20 : 12; shift >= 0; shift -= 4) out += digits[(address >> shift) & 15];
    return out;
  }

  bool held_by_capacitor(std::uint32_t net) const {
    for (const PinId p : machine_.nets()[net].pins)
      for (const auto& block : machine_.part(machine_.pin(p).part).type->blocks)
        if (block.kind == Template::capacitor || block.kind == Template::timer) return true;
    return false;
  }
  void floating_inputs() {
    for (std::uint32_t n = 0; n < machine_.nets().size(); ++n) {
      std::vector<PinId> inputs;
      for (const PinId p : machine_.nets()[n].pins) {
        const auto role = machine_.pin_type(p).role;
        if ((role == PinRole::input || role == PinRole::clock) && machine_.part(machine_.pin(p).part).fitted) inputs.push_back(p);
      }
      if (inputs.empty() || held_by_capacitor(n)) continue;
      bool driven = false;
      for (std::uint32_t w = 0; w < net_.words; ++w) driven = driven || (~net_.healthy(net_.net_node[n], w).none & net_.normal[w]) != 0;
      if (!driven) floating(inputs, "nothing drives or pulls its net");
    }
    for (std::uint32_t i = 0; i < machine_.pins().size(); ++i) {
      const auto& pin = machine_.pins()[i];
      const auto role = machine_.pin_type(PinId(i)).role;
      const auto& part = machine_.part(pin.part);
      if (pin.net.known() || !part.fitted || (role != PinRole::input && role != PinRole::clock) || part.type->blocks.empty() || part.type->custom) continue;
      floating({PinId(i)}, "it is connected to nothing");
    }
  }
  void floating(const std::vector<PinId>& inputs, const std::string& why) {
    std::vector<std::string> names;
    for (const PinId p : inputs) names.push_back(machine_.long_name_of(p));
    add(Grade::warning, "floating-input", join(names, ", ") + " floats: " + why, "a missing pull-up, link or driver?", inputs);
  }

  /// What the processor takes in must be driven when it takes it in.
  void samples() {
    for (const auto& cycle : net_.cycles) {
      const auto& master = net_.masters[cycle.master];
      if (master.block->cycles[cycle.bus_cycle].direction != BusCycle::Direction::read) continue;
      const std::uint32_t slot = cycle.first_slot + cycle.phases - 1;
      std::vector<PinId> open, unsure;
      for (const auto pin : master.block->port("data")) {
        const PinId p = machine_.pin_of(PartId(master.part), pin);
        if (!machine_.pin(p).net.known()) continue;
        bool driven = false, steadily = false;
        const Op& strong = net_.ops[net_.strong_node[machine_.pin(p).net.index()]];
        for (std::uint32_t k = 0; k < strong.count; ++k) {
          const NodeId driver = net_.contributions[strong.first + k].node;
          if (in(&Planes<Word64>::none, driver, slot)) continue;
          driven = true;
          steadily = steadily || !enable_moves(driver, slot);
        }
        if (!driven) open.push_back(p);
        else if (!steadily) unsure.push_back(p);
      }
      if (open.size() == master.block->port("data").size() && !open.empty())
        add(Grade::error, "undriven-sample", "in '" + cycle.name + "' nobody drives the data lines when " + machine_.parts()[master.part].ref + " takes them in", "an enable on the wrong phase of the clock?", open);
      if (!unsure.empty())
        add(Grade::error, "undriven-sample", "in '" + cycle.name + "' who drives the data lines is still being enabled and disabled when " + machine_.parts()[master.part].ref + " takes them in", "an enable on a signal that doesn't stand still?", unsure);
    }
  }
  /// Nobody can rely on an output whose enable moves.
  bool enable_moves(NodeId driver, std::uint32_t slot) const {
    const Op& op = net_.ops[driver];
    if (op.kind != OpKind::drive || net_.operands[op.first + 1].node == kNone32) return false;
    return in(&Planes<Word64>::right, net_.operands[op.first + 1].node, slot);
  }

  /// Parts on the data lines that no transfer ever selects.
  void selections() {
    std::set<std::uint32_t> selected;
    for (const auto& c : net_.cycles) selected.insert(c.parts.begin(), c.parts.end());
    std::map<std::string, std::set<std::uint32_t>> never;
    for (std::uint32_t p = 0; p < machine_.parts().size(); ++p) {
      if (!machine_.parts()[p].fitted || selected.count(p)) continue;
      for (const auto& block : machine_.parts()[p].type->blocks) {
        const bool rom = block.kind == Template::memory && block.word("kind").value_or("sram") == "rom";
        if (block.kind != Template::memory && block.kind != Template::peripheral) continue;
        if (!on_processor_bus(p, block)) continue;
        never[selected_when_idle(p) ? "while its clock is in the idle half, not when the processor takes data in" : "at no address"].insert(p);
        (void)rom;
        break;
      }
    }
    for (const auto& [how, parts] : never)
      add(Grade::error, "never-selected", part_list(parts) + (parts.size() > 1 ? " are" : " is") + " selected " + how + ": undriven when sampled", "a select on the wrong phase of the clock, or a link left open?");
    for (const auto& s : net_.storages)
      if (s.kind == Storage::Kind::content && s.write && !s.healthy_moves && s.bit == 0 && selected.count(s.part))
        add(Grade::warning, "unheard-write", machine_.parts()[s.part].ref + " is read but never written", "is its write line wired?");
  }
  bool on_processor_bus(std::uint32_t part, const parts::Block& block) const {
    const auto& data = block.port("data").empty() ? block.port("out") : block.port("data");
    for (const auto pin : data) {
      const auto net = machine_.pin(machine_.pin_of(PartId(part), pin)).net;
      if (!net.known()) continue;
      for (const auto& master : net_.masters)
        for (const auto d : master.block->port("data")) {
          const auto other = machine_.pin(machine_.pin_of(PartId(master.part), d)).net;
          if (other.known() && net_.cluster[other.index()] == net_.cluster[net.index()]) return true;
        }
    }
    return false;
  }
  bool selected_when_idle(std::uint32_t part) const {
    return std::any_of(activity_.prepared().idle_selected.begin(), activity_.prepared().idle_selected.end(), [&](std::uint32_t p) { return p == part; });
  }

  /// The multiplexer must show another side to the column strobe than to the row strobe.
  void rows_and_columns() {
    for (const auto& s : net_.sampled) {
      const std::uint32_t part = part_of_access(s.node);
      std::optional<std::uint32_t> row, column;
      for (std::uint32_t slot = 0; slot < net_.slot_count; ++slot) {
        if (!bit(net_.normal, slot)) continue;
        if (!row && begins(s.row.node, slot)) row = slot;
        if (!column && begins(s.column.node, slot)) column = slot;
      }
      if (!row || !column || part == kNone32) continue;
      const Op& op = net_.ops[s.node];
      bool differs = false;
      for (std::uint32_t k = 0; k < op.count && !differs; ++k) differs = switches(net_.operands[op.first + k].node, *row, *column);
      if (!differs) add(Grade::error, "same-row-and-column", machine_.parts()[part].ref + " gets the same address lines for row and column", "does the multiplexer's select change between the strobes?");
    }
  }
  bool begins(NodeId node, std::uint32_t slot) const {
    return in(&Planes<Word64>::high, node, slot) && !(bit(net_.not_first, slot) && in(&Planes<Word64>::high, node, slot - 1));
  }
  std::uint32_t part_of_access(NodeId node) const {
    for (std::uint32_t p = 0; p < net_.access_node.size(); ++p) {
      if (net_.access_node[p] == kNone32) continue;
      if (net_.access_node[p] == node) return p;
      const Op& op = net_.ops[net_.access_node[p]];
      for (std::uint32_t k = 0; k < op.count; ++k) if (net_.operands[op.first + k].node == node) return p;
    }
    return kNone32;
  }
  /// Some level on the way to the node differs between the slots.
  bool switches(NodeId start, std::uint32_t a, std::uint32_t b) const {
    std::vector<NodeId> queue{start};
    std::set<NodeId> seen{start};
    for (std::size_t head = 0; head < queue.size() && queue.size() < 400; ++head) {
      const NodeId node = queue[head];
      if (in(&Planes<Word64>::high, node, a) != in(&Planes<Word64>::high, node, b)) return true;
      const Op& op = net_.ops[node];
      if (op.kind == OpKind::storage || op.kind == OpKind::master || op.kind == OpKind::all_right) continue;
      const bool net = op.kind == OpKind::strong || op.kind == OpKind::resolve;
      for (std::uint32_t k = 0; k < op.count; ++k) {
        const NodeId next = net ? net_.contributions[op.first + k].node : net_.operands[op.first + k].node;
        if (next != kNone32 && seen.insert(next).second) queue.push_back(next);
      }
    }
    return false;
  }

  void functions() {
    std::vector<Look> looks;
    std::vector<std::uint32_t> ids;
    for (std::uint32_t i = 0; i < machine_.functions().size(); ++i)
      if (!machine_.functions()[i].held) { looks.push_back({Look::Kind::function, i, 0}); ids.push_back(i); }
    if (looks.empty()) return;
    std::vector<std::uint8_t> seen(looks.size());
    activity_.look({Overlay{}}, looks, seen.data());
    for (std::size_t k = 0; k < ids.size(); ++k)
      if (seen[k] != kRight) add(Grade::error, "function-not-good", "'" + machine_.functions()[ids[k]].title + "' does not come out good on the healthy machine", "check what it needs");
  }

  /// One line for all outputs with loads that never move: on purpose, or a hint that something is wired wrongly.
  void static_outputs() {
    std::vector<std::string> names;
    for (std::uint32_t i = 0; i < machine_.pins().size(); ++i) {
      const NodeId node = net_.drive_node[i];
      const auto net = machine_.pins()[i].net;
      if (node == kNone32 || !net.known() || machine_.net(net).kind != NetKind::signal || net_.ops[node].open_low || net_.ops[node].open_high) continue;
      bool loads = false;
      for (const PinId p : machine_.net(net).pins) loads = loads || (p != PinId(i) && parts::listens(machine_.pin_type(p).role));
      if (!loads) continue;
      bool low = false, high = false, moves = false;
      for (std::uint32_t w = 0; w < net_.words; ++w) {
        const auto& p = net_.healthy(node, w);
        low = low || (p.low & net_.normal[w]);
        high = high || (p.high & net_.normal[w]);
        moves = moves || (p.right & net_.normal[w]);
      }
      if (!moves && low != high) names.push_back(machine_.name_of(PinId(i)));
    }
    if (!names.empty()) add(Grade::note, "static-outputs", "outputs that never move on the healthy machine: " + join(names, ", "), "right where they idle or start up only");
  }

  const Activity& activity_;
  const Network& net_;
  const board::Machine& machine_;
  std::vector<Finding> out_;
  std::set<std::set<std::uint32_t>> reported_;
};

}  // namespace

std::vector<Finding> health(const Activity& activity) { return Examiner(activity).run(); }

}  // namespace halfsplit::logic
