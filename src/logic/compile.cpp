// Long because: one visitor over all block templates; parted it would need its state passed round.
#include "logic/compile.h"

#include <algorithm>
#include <functional>
#include <map>
#include <numeric>

namespace halfsplit::logic {
namespace {

using board::Machine;
using board::NetId;
using board::NetKind;
using board::PartId;
using board::PinId;
using parts::Block;
using parts::Expression;
using parts::PinRole;
using parts::Template;

Planes<Word64> everywhere(bool low, bool high, bool right, bool wrong, bool none) {
  const auto full = [](bool on) { return on ? ~Word64{0} : Word64{0}; };
  return {full(low), full(high), full(right), full(wrong), full(none), 0};
}

/// Union-find over nets.
class Clusters {
 public:
  explicit Clusters(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0u); }
  std::uint32_t find(std::uint32_t a) {
    while (parent_[a] != a) a = parent_[a] = parent_[parent_[a]];
    return a;
  }
  void join(std::uint32_t a, std::uint32_t b) { parent_[std::max(find(a), find(b))] = std::min(find(a), find(b)); }

 private:
  std::vector<std::uint32_t> parent_;
};

/// Weak sources are tried in this order: contacts, coupling capacitors, resistors from signals, then pulls to a rail (a divider passes its signal on).
constexpr double kPull = 1e8;

/// A two-terminal element between two nets.
struct Link {
  std::uint32_t part, element, pin_a, pin_b, net_a, net_b;
  Template kind;
  double ohms = 0, farads = 0;
  bool closed = false;
};

class Compiler {
 public:
  Compiler(const Machine& machine, std::vector<CompileNote>& notes) : machine_(machine), notes_(notes), clusters_(machine.nets().size()) {
    net_.machine = &machine;
  }

  Network run() {
    prepare();
    collect_links();
    for (std::size_t i = 0; i < machine_.parts().size(); ++i)
      if (machine_.parts()[i].fitted) compile_part(PartId(i));
    feed_rails();
    feed_from_outside();
    orient_links();
    make_nets();
    find_phase_clocks();
    sort_ops();
    index_readers();
    return std::move(net_);
  }

 private:
  // ---- small makers ----
  NodeId add_op(OpKind kind, std::vector<Operand> operands, std::uint32_t aux = kNone32) {
    Op op;
    op.kind = kind;
    op.first = static_cast<std::uint32_t>(net_.operands.size());
    op.count = static_cast<std::uint32_t>(operands.size());
    op.aux = aux;
    net_.operands.insert(net_.operands.end(), operands.begin(), operands.end());
    net_.ops.push_back(op);
    return static_cast<NodeId>(net_.ops.size() - 1);
  }
  NodeId constant(const Planes<Word64>& value) {
    for (std::size_t i = 0; i < net_.constants.size(); ++i)
      if (same(net_.constants[i], value)) return constant_nodes_[i];
    net_.constants.push_back(value);
    constant_nodes_.push_back(add_op(OpKind::constant, {}, static_cast<std::uint32_t>(net_.constants.size() - 1)));
    return constant_nodes_.back();
  }
  NodeId level(bool high) { return constant(everywhere(!high, high, false, false, false)); }
  NodeId moving() { return constant(everywhere(false, false, true, false, false)); }
  NodeId floating() { return constant(everywhere(false, false, false, false, true)); }

  std::uint32_t net_of(std::uint32_t pin) const {
    const NetId net = machine_.pins()[pin].net;
    return net.known() ? net.index() : kNone32;
  }
  std::uint32_t pin_of(PartId part, std::uint16_t type_pin) const { return machine_.pin_of(part, type_pin).index(); }
  Operand leg(std::uint32_t pin) {
    const std::uint32_t net = net_of(pin);
    return {net == kNone32 ? floating() : net_.net_node[net], pin};
  }
  Operand leg(PartId part, std::uint16_t type_pin) { return leg(pin_of(part, type_pin)); }
  std::vector<Operand> legs(PartId part, const std::vector<std::uint16_t>& pins) {
    std::vector<Operand> out;
    for (const auto pin : pins) out.push_back(leg(part, pin));
    return out;
  }
  Operand expression(PartId part, const Expression& e) {
    std::vector<Operand> made(e.nodes.size());
    for (std::size_t i = 0; i < e.nodes.size(); ++i) {
      const auto& node = e.nodes[i];
      switch (node.op) {
        case Expression::Op::constant: made[i] = {level(node.constant), kNone32}; break;
        case Expression::Op::pin: made[i] = leg(part, node.pin); break;
        case Expression::Op::negate: made[i] = {add_op(OpKind::negation, {made[node.args[0]]}), kNone32}; break;
        default: {
          const OpKind kind = node.op == Expression::Op::conjunction   ? OpKind::conjunction
                              : node.op == Expression::Op::disjunction ? OpKind::disjunction
                                                                       : OpKind::exclusive;
          Operand fold = made[node.args[0]];
          for (std::size_t k = 1; k < node.args.size(); ++k) fold = {add_op(kind, {fold, made[node.args[k]]}), kNone32};
          made[i] = fold;
        }
      }
    }
    return made.empty() ? Operand{level(true), kNone32} : made.back();
  }
  std::optional<Operand> term(PartId part, const Block& block, std::string_view name, std::size_t i = 0) {
    const auto& list = block.term(name);
    if (list.empty()) return std::nullopt;
    return expression(part, list[std::min(i, list.size() - 1)]);
  }
  NodeId all_right(std::vector<Operand> operands) { return add_op(OpKind::all_right, std::move(operands)); }
  std::optional<Operand> power(PartId part) const {
    const NodeId node = net_.power_node[part.index()];
    return node == kNone32 ? std::nullopt : std::optional<Operand>({node, kNone32});
  }
  Operand both(std::optional<Operand> a, std::optional<Operand> b) {
    if (!a) return b ? *b : Operand{level(true), kNone32};
    if (!b) return *a;
    return {add_op(OpKind::conjunction, {*a, *b}), kNone32};
  }

  /// What a pin puts out; `yields`: only where nobody else drives.
  void drive(PartId part, std::uint16_t type_pin, Operand data, std::optional<Operand> enable, std::string_view how = {}, bool yields = false) {
    const std::uint32_t pin = pin_of(part, type_pin);
    const PinRole role = machine_.pin_type(PinId(pin)).role;
    std::vector<Operand> operands{data, enable ? *enable : Operand{}, power(part) ? *power(part) : Operand{}};
    const NodeId node = add_op(OpKind::drive, operands, pin);
    net_.ops[node].open_low = how == "open-collector" || (how.empty() && role == PinRole::open_collector);
    net_.ops[node].open_high = how == "open-emitter" || (how.empty() && role == PinRole::open_emitter);
    if (net_.drive_node[pin] == kNone32) net_.drive_node[pin] = node;
    const std::uint32_t net = net_of(pin);
    if (net == kNone32) return;
    contributions_[net].push_back({node, pin, kNone32, net, yields ? 0.5 : 0.0, part.index(), 0, false, false, false});
    const bool pushes = !enable && !net_.ops[node].open_low && !net_.ops[node].open_high && !yields;
    if (pushes) pushed_[net] = true;
    if (!yields) driven_[net] = true;
  }

  std::uint32_t add_storage(Storage storage) {
    storage.node = add_op(OpKind::storage, {}, static_cast<std::uint32_t>(net_.storages.size()));
    net_.part_storages[storage.part].push_back(static_cast<std::uint32_t>(net_.storages.size()));
    net_.storages.push_back(std::move(storage));
    return static_cast<std::uint32_t>(net_.storages.size() - 1);
  }

  // ---- preparation ----
  void prepare() {
    const std::size_t nets = machine_.nets().size(), pins = machine_.pins().size(), count = machine_.parts().size();
    net_.net_node.resize(nets);
    net_.strong_node.assign(nets, kNone32);
    net_.drive_node.assign(pins, kNone32);
    for (const auto& pin : machine_.pins()) {
      const auto* family = machine_.part(pin.part).family;
      const auto role = machine_.part(pin.part).type->pins[pin.index].role;
      net_.is_supply.push_back(role == PinRole::supply || role == PinRole::ground);
      net_.floats_high.push_back(family != nullptr && family->floats_high);
    }
    net_.power_node.assign(count, kNone32);
    net_.access_node.assign(count, kNone32);
    net_.part_storages.resize(count);
    contributions_.resize(nets);
    pushed_.assign(nets, false);
    driven_.assign(nets, false);
    for (std::size_t i = 0; i < nets; ++i) net_.net_node[i] = add_op(OpKind::resolve, {}, static_cast<std::uint32_t>(i));
    for (std::size_t i = 0; i < nets; ++i) net_.strong_node[i] = add_op(OpKind::strong, {}, static_cast<std::uint32_t>(i));
  }

  bool is_power(std::uint32_t net) const { return machine_.nets()[net].kind != NetKind::signal; }

  void collect_links() {
    for (std::size_t p = 0; p < machine_.parts().size(); ++p) {
      const auto& part = machine_.parts()[p];
      if (!part.fitted) continue;
      std::uint32_t element = 0;
      for (const Block& block : part.type->blocks) {
        const bool two = block.kind == Template::contact || block.kind == Template::resistor || block.kind == Template::capacitor ||
                         block.kind == Template::inductor || block.kind == Template::diode || block.kind == Template::crystal;
        if (!two) continue;
        const bool diode = block.kind == Template::diode;
        const auto& a = block.port(diode ? "anode" : "a");
        const auto& b = block.port(diode ? "cathode" : "b");
        const std::size_t count = std::max(a.size(), b.size());
        for (std::size_t i = 0; i < count && !a.empty() && !b.empty(); ++i, ++element) {
          const std::uint32_t pa = pin_of(PartId(p), a[std::min(i, a.size() - 1)]), pb = pin_of(PartId(p), b[std::min(i, b.size() - 1)]);
          const std::uint32_t na = net_of(pa), nb = net_of(pb);
          if (na == kNone32 || nb == kNone32 || na == nb) continue;
          Link link{static_cast<std::uint32_t>(p), element, pa, pb, na, nb, block.kind};
          if (block.kind == Template::resistor) link.ohms = part.value_si.value_or(1000.0);
          if (block.kind == Template::capacitor) link.farads = part.value_si.value_or(0.0);
          link.closed = block.kind == Template::inductor || (block.kind == Template::contact && block.word("closed").value_or("true") == "true");
          links_.push_back(link);
          if (link.closed) {
            net_.closed.push_back({link.part, link.element, na, nb});
            clusters_.join(na, nb);
          }
        }
      }
    }
    net_.cluster.resize(machine_.nets().size());
    for (std::uint32_t i = 0; i < net_.cluster.size(); ++i) net_.cluster[i] = clusters_.find(i);
    net_.cluster_nets.resize(machine_.nets().size());
    for (std::uint32_t i = 0; i < net_.cluster.size(); ++i) net_.cluster_nets[net_.cluster[i]].push_back(i);
    net_.closed_of_net.resize(machine_.nets().size());
    for (std::uint32_t i = 0; i < net_.closed_of_net.size(); ++i)
      for (std::uint32_t k = 0; k < net_.closed.size(); ++k)
        if (net_.cluster[net_.closed[k].net_a] == net_.cluster[i]) net_.closed_of_net[i].push_back(k);
  }

  // ---- parts ----
  void compile_part(PartId part) {
    const auto& type = *machine_.part(part).type;
    std::vector<Operand> supplies;
    for (std::uint16_t i = 0; i < type.pins.size(); ++i)
      if ((type.pins[i].role == PinRole::supply || type.pins[i].role == PinRole::ground) && net_of(pin_of(part, i)) != kNone32)
        supplies.push_back(leg(part, i));
    bool active = false;
    for (const Block& block : type.blocks)
      active = active || (block.kind <= Template::box);
    if (!supplies.empty() && (active || type.blocks.empty())) net_.power_node[part.index()] = all_right(supplies);
    for (const Block& block : type.blocks) compile_block(part, block);
    compile_leftovers(part);
  }

  void compile_block(PartId part, const Block& block) {
    switch (block.kind) {
      case Template::gate: return compile_gate(part, block);
      case Template::reg:
      case Template::counter:
      case Template::shift: return compile_register(part, block);
      case Template::latch: return compile_latch(part, block);
      case Template::one_shot: return compile_one_shot(part, block);
      case Template::timer: return compile_timer(part, block);
      case Template::oscillator:
        for (const auto pin : block.port("out")) drive(part, pin, {moving(), kNone32}, term(part, block, "when"));
        return;
      case Template::memory: return compile_memory(part, block);
      case Template::processor: return compile_master(part, block, true);
      case Template::master: return compile_master(part, block, false);
      case Template::peripheral: return compile_peripheral(part, block);
      case Template::box: return compile_box(part, block);
      case Template::regulator:
        for (const auto pin : block.port("out")) drive(part, pin, leg(part, block.port("in").at(0)), std::nullopt);
        return;
      case Template::transistor: return compile_transistor(part, block);
      case Template::crystal:
      case Template::contact:
      case Template::resistor:
      case Template::capacitor:
      case Template::inductor:
      case Template::diode: return;  // links
    }
  }

  void compile_gate(PartId part, const Block& block) {
    const auto& out = block.port("out");
    const auto how = block.word("drive").value_or("");
    for (std::size_t i = 0; i < out.size(); ++i) {
      const auto data = term(part, block, "is", i);
      if (data) drive(part, out[i], *data, term(part, block, "when", i), how);
    }
  }

  void compile_register(PartId part, const Block& block) {
    const auto& q = block.port("q");
    const auto& qn = block.port("qn");
    const auto& d = block.term("d");
    const bool counts = block.kind == Template::counter;
    std::vector<Operand> controls;
    for (const char* name : {"enable", "clear", "preset", "load"})
      if (const auto control = term(part, block, name)) controls.push_back(*control);
    const std::optional<Operand> control = controls.empty() ? std::nullopt : std::optional<Operand>({all_right(controls), kNone32});
    const auto clock = term(part, block, "clock");
    const auto make = [&](std::size_t i) {
      Storage s;
      s.part = part.index();
      s.bit = static_cast<std::uint16_t>(i);
      s.counts = counts;
      s.clock = clock;
      s.control = control;
      s.power = power(part);
      s.clears = block.term("clear").size() > 0;
      if (block.kind == Template::reg && !d.empty()) s.data = expression(part, d[std::min(i, d.size() - 1)]);
      if (block.kind == Template::shift)
        for (const auto& e : d) s.also_data.push_back(expression(part, e));
      return add_storage(std::move(s));
    };
    for (std::size_t i = 0; i < std::max(q.size(), qn.size()); ++i) {
      const NodeId node = net_.storages[make(i)].node;
      if (i < q.size()) drive(part, q[i], {node, kNone32}, term(part, block, "when", i));
      if (i < qn.size()) drive(part, qn[i], {add_op(OpKind::negation, {{node, kNone32}}), kNone32}, term(part, block, "when", i));
    }
    for (const auto pin : block.port("carry")) drive(part, pin, {net_.storages[make(q.size())].node, kNone32}, std::nullopt);
  }

  void compile_latch(PartId part, const Block& block) {
    const auto& q = block.port("q");
    const auto& qn = block.port("qn");
    for (std::size_t i = 0; i < std::max(q.size(), qn.size()); ++i) {
      Storage s;
      s.part = part.index();
      s.bit = static_cast<std::uint16_t>(i);
      s.level = true;
      s.clock = term(part, block, "open", i);
      s.data = term(part, block, "d", i);
      s.power = power(part);
      if (const auto clear = term(part, block, "clear")) s.control = Operand{all_right({*clear}), kNone32};
      if (!s.clock || !s.data) continue;
      const Operand open = *s.clock, data = *s.data;
      const NodeId stored = net_.storages[add_storage(std::move(s))].node;
      const NodeId out = add_op(OpKind::select_stored, {open, data, {stored, kNone32}});
      if (i < q.size()) drive(part, q[i], {out, kNone32}, term(part, block, "when", i));
      if (i < qn.size()) drive(part, qn[i], {add_op(OpKind::negation, {{out, kNone32}}), kNone32}, term(part, block, "when", i));
    }
  }

  void compile_one_shot(PartId part, const Block& block) {
    const bool high = block.word("rest").value_or("low") == "high";
    for (const auto pin : block.port("out")) drive(part, pin, {level(high), kNone32}, std::nullopt);
    for (const auto pin : block.port("outn")) drive(part, pin, {level(!high), kNone32}, std::nullopt);
  }

  void compile_timer(PartId part, const Block& block) {
    const auto first = [&](std::string_view name) {
      const auto& port = block.port(name);
      return port.empty() ? kNone32 : net_of(pin_of(part, port[0]));
    };
    const bool astable = first("trigger") != kNone32 && first("trigger") == first("threshold");
    for (const auto pin : block.port("out")) drive(part, pin, {astable ? moving() : level(false), kNone32}, std::nullopt);
    for (const auto pin : block.port("discharge")) drive(part, pin, {astable ? moving() : level(false), kNone32}, std::nullopt, "open-collector");
  }

  void compile_memory(PartId part, const Block& block) {
    const auto kind = block.word("kind").value_or("sram");
    std::vector<Operand> address = legs(part, block.port("address"));
    NodeId access = all_right(address);
    std::vector<Operand> good{{access, kNone32}};
    if (kind == "dram") {
      const auto row = term(part, block, "row"), column = term(part, block, "column");
      if (row && column) {
        net_.sampled.push_back({access, *row, *column, {}});
        net_.ops[access].aux = static_cast<std::uint32_t>(net_.sampled.size() - 1);
        const NodeId strobes = all_right({*row, *column});
        net_.ops[strobes].aux = kWholeCycle;
        good.push_back({strobes, kNone32});
        access = add_op(OpKind::both_right, good);
        good = {{access, kNone32}};
      }
    }
    net_.access_node[part.index()] = access;
    const auto select = term(part, block, "select");
    const Operand read = both(select, term(part, block, "read"));
    const auto write_term = term(part, block, "write");
    const bool shared = !block.port("data").empty();
    const auto& in = shared ? block.port("data") : block.port("in");
    const auto& out = shared ? block.port("data") : block.port("out");
    std::optional<Operand> write;
    if (write_term && kind != "rom") write = both(select, write_term);
    for (std::size_t i = 0; i < out.size(); ++i) {
      Storage s;
      s.kind = Storage::Kind::content;
      s.part = part.index();
      s.bit = static_cast<std::uint16_t>(i);
      s.power = power(part);
      if (write) {
        s.write = write;
        s.control = Operand{access, kNone32};
        if (i < in.size()) s.data = leg(part, in[i]);
      }
      const NodeId content = net_.storages[add_storage(std::move(s))].node;
      auto operands = good;
      operands.push_back({content, kNone32});
      drive(part, out[i], {add_op(OpKind::both_right, operands), kNone32}, read);
    }
  }

  /// Whether a port pin whose direction the program decides sends or receives: it receives where something else drives or pulls its net.
  bool port_receives(std::uint32_t pin) {
    const std::uint32_t net = net_of(pin);
    if (net == kNone32) return true;
    for (std::uint32_t other = 0; other < machine_.nets().size(); ++other) {
      if (net_.cluster[other] != net_.cluster[net]) continue;
      for (const PinId p : machine_.nets()[other].pins) {
        if (machine_.pin(p).part == machine_.pin(PinId(pin)).part) continue;
        const PinRole role = machine_.pin_type(p).role;
        if (role == PinRole::output || role == PinRole::three_state || role == PinRole::analog_out) return true;
      }
    }
    for (const Link& link : links_) {
      if (link.kind != Template::resistor) continue;
      const bool on_a = net_.cluster[link.net_a] == net_.cluster[net], on_b = net_.cluster[link.net_b] == net_.cluster[net];
      if (on_a != on_b && machine_.nets()[on_a ? link.net_b : link.net_a].kind == NetKind::rail) return true;
    }
    return false;
  }

  void compile_peripheral(PartId part, const Block& block) {
    std::vector<Operand> needs = legs(part, block.port("address"));
    for (const auto pin : block.port("needs"))
      if (net_of(pin_of(part, pin)) != kNone32) needs.push_back(leg(part, pin));
    const NodeId access = all_right(needs);
    net_.access_node[part.index()] = access;
    const auto select = term(part, block, "select");
    const Operand read = both(select, term(part, block, "read"));
    const Operand write = both(select, term(part, block, "write"));
    const auto& data = block.port("data");
    std::vector<std::uint16_t> sends = block.port("outputs"), receives = block.port("inputs");
    for (const auto pin : block.port("ports")) (port_receives(pin_of(part, pin)) ? receives : sends).push_back(pin);
    for (std::size_t i = 0; i < data.size(); ++i) {
      std::vector<Operand> good{{access, kNone32}};
      std::vector<Operand> inputs;
      for (std::size_t k = i; k < receives.size(); k += data.size())
        if (const auto net = net_of(pin_of(part, receives[k])); net != kNone32 && has_signal(net, part)) inputs.push_back(leg(part, receives[k]));
      if (!inputs.empty()) good.push_back({all_right(inputs), kNone32});
      if (block.term("read").size() || block.term("select").size())
        drive(part, data[i], {add_op(OpKind::both_right, good), kNone32}, read);
    }
    for (std::size_t k = 0; k < sends.size(); ++k) {
      Storage s;
      s.part = part.index();
      s.bit = static_cast<std::uint16_t>(k);
      s.level = true;
      s.clock = write;
      s.control = Operand{access, kNone32};
      s.power = power(part);
      s.clears = true;
      if (!data.empty()) s.data = leg(part, data[k % data.size()]);
      drive(part, sends[k], {net_.storages[add_storage(std::move(s))].node, kNone32}, std::nullopt);
    }
    for (const auto pin : block.port("irq")) drive(part, pin, {level(true), kNone32}, std::nullopt, "open-collector");
  }
  /// Some other pin than those of connectors could put a signal there.
  bool has_signal(std::uint32_t net, PartId part) const {
    for (const PinId p : machine_.nets()[net].pins)
      if (machine_.pin(p).part != part) return true;
    return false;
  }

  void compile_box(PartId part, const Block& block) {
    std::vector<Operand> needs;
    for (const auto pin : block.port("needs"))
      if (net_of(pin_of(part, pin)) != kNone32) needs.push_back(leg(part, pin));
    const auto rest = block.word("rest").value_or("moving");
    const NodeId data = rest == "high" ? level(true) : rest == "low" ? level(false) : needs.empty() ? moving() : rest == "with-needs" ? any_moves(needs) : all_right(needs);
    for (const auto pin : block.port("out")) {
      const PinRole role = machine_.part(part).type->pins[pin].role;
      const bool takes_turns = role == PinRole::bidirectional || (role == PinRole::three_state && block.term("when").empty());
      if (takes_turns) leftovers_.push_back({part, pin, data});  // its direction and turn are decided by the wiring
      else drive(part, pin, {data, kNone32}, term(part, block, "when"));
    }
  }

  /// Moves when any of them does, stands still when all stand still; right when all are right.
  NodeId any_moves(const std::vector<Operand>& needs) {
    Operand so_far = needs.front();
    for (std::size_t i = 1; i < needs.size(); ++i) so_far = {add_op(OpKind::exclusive, {so_far, needs[i]}), kNone32};
    return needs.size() == 1 ? add_op(OpKind::exclusive, {so_far, {level(false), kNone32}}) : so_far.node;
  }

  void compile_transistor(PartId part, const Block& block) {
    const auto pin = [&](std::string_view name) { return block.port(name).empty() ? kNone32 : pin_of(part, block.port(name)[0]); };
    const std::uint32_t base = pin("base"), collector = pin("collector"), emitter = pin("emitter");
    if (base == kNone32 || collector == kNone32 || emitter == kNone32) return;
    const std::uint32_t nb = net_of(base), nc = net_of(collector), ne = net_of(emitter);
    if (nb == kNone32 || nc == kNone32 || ne == kNone32) return;
    const bool npn = block.word("polarity").value_or("npn") == "npn";
    const auto index_of = [&](std::uint32_t p) { return static_cast<std::uint16_t>(p - machine_.part(part).first_pin.index()); };
    const Operand input = leg(base);
    if (is_power(nc)) return drive(part, index_of(emitter), input, std::nullopt);  // follower
    const NodeId inverted = add_op(OpKind::negation, {input});
    drive(part, index_of(collector), {inverted, kNone32}, std::nullopt, npn ? "open-collector" : "open-emitter");
  }

  void compile_master(PartId part, const Block& block, bool processor) {
    const std::uint32_t index = static_cast<std::uint32_t>(net_.masters.size());
    Master master;
    master.part = part.index();
    master.block = &block;
    master.processor = processor;
    net_.masters.push_back(master);
    const auto& type = *machine_.part(part).type;
    std::vector<bool> done(type.pins.size(), false);
    const auto add_pin = [&](std::uint16_t pin) {
      if (done[pin]) return;
      done[pin] = true;
      const auto role = type.pins[pin].role;
      if (!parts::can_drive(role)) return;
      const std::uint32_t number = static_cast<std::uint32_t>(net_.master_pins.size());
      net_.master_pins.push_back({index, pin_of(part, pin), {}, {}, {}, {}});
      const NodeId node = add_op(OpKind::master, {}, number);
      drive(part, pin, {node, kNone32}, std::nullopt, role == PinRole::open_collector ? "open-collector" : "");
    };
    for (const auto pin : block.port("address")) add_pin(pin);
    for (const auto pin : block.port("data")) add_pin(pin);
    for (const auto& cycle : block.cycles) {
      for (const auto& [pin, high] : cycle.setup) add_pin(pin);
      for (const auto& [pin, high] : cycle.active) add_pin(pin);
    }
    bool sole = type.blocks.size() == 1;
    for (std::uint16_t pin = 0; sole && pin < type.pins.size(); ++pin)
      if (type.pins[pin].role == PinRole::output) add_pin(pin);
    Storage alive;
    alive.kind = Storage::Kind::alive;
    alive.part = part.index();
    alive.master = index;
    alive.power = power(part);
    for (const auto pin : block.port("clock"))
      if (net_of(pin_of(part, pin)) != kNone32) alive.inputs.push_back(leg(part, pin));
    alive.control = term(part, block, "reset");
    for (std::size_t i = 0; i < block.term("running").size(); ++i) alive.inputs.push_back(*term(part, block, "running", i));
    net_.masters[index].alive = add_storage(alive);
    for (const auto kind : {Storage::Kind::program_rom, Storage::Kind::program_ram}) {
      Storage program;
      program.kind = kind;
      program.part = part.index();
      program.master = index;
      program.inputs = legs(part, block.port("data"));
      (kind == Storage::Kind::program_rom ? net_.masters[index].rom : net_.masters[index].ram) = add_storage(std::move(program));
    }
  }

  /// Pins that could drive but that no block speaks of: a custom chip's outputs move when everything it listens to is right.
  void compile_leftovers(PartId part) {
    const auto& type = *machine_.part(part).type;
    std::vector<std::uint16_t> silent;
    for (std::uint16_t i = 0; i < type.pins.size(); ++i)
      if (parts::can_drive(type.pins[i].role) && net_.drive_node[pin_of(part, i)] == kNone32 && net_of(pin_of(part, i)) != kNone32 && !spoken_of(type, i))
        silent.push_back(i);
    if (silent.empty() || !(type.custom || type.blocks.empty())) return;
    std::vector<Operand> needs;
    for (std::uint16_t i = 0; i < type.pins.size(); ++i)
      if ((type.pins[i].role == PinRole::input || type.pins[i].role == PinRole::clock) && net_of(pin_of(part, i)) != kNone32)
        needs.push_back(leg(part, i));
    const NodeId data = needs.empty() ? moving() : all_right(needs);
    for (const auto i : silent) leftovers_.push_back({part, i, data});
  }
  static bool spoken_of(const parts::PartType& type, std::uint16_t pin) {
    for (const Block& block : type.blocks)
      for (const auto& [name, pins] : block.ports)
        if (std::find(pins.begin(), pins.end(), pin) != pins.end()) return true;
    return false;
  }

  // ---- rails, passives, the outside ----
  void feed_rails() {
    for (std::uint32_t i = 0; i < machine_.nets().size(); ++i) {
      const auto& net = machine_.nets()[i];
      if (net.kind == NetKind::signal) continue;
      bool fed = driven_[i];
      for (std::uint32_t k = 0; k < machine_.nets().size() && !fed; ++k) fed = net_.cluster[k] == net_.cluster[i] && k != i && (driven_[k] || (k < i && is_power(k)));
      if (fed && net.kind == NetKind::rail && !net.source) continue;
      contributions_[i].push_back({level(net.kind == NetKind::rail), kNone32, kNone32, i, 0.0, net.source ? net.source->index() : kNone32, 0, false, false, false});
      driven_[i] = pushed_[i] = true;
    }
    for (const auto& [part, pin, data] : leftovers_) {
      const std::uint32_t net = net_of(pin_of(part, pin));
      if (net == kNone32) continue;
      const auto role = machine_.part(part).type->pins[pin].role;
      if (role == PinRole::bidirectional && on_data_bus(net)) continue;
      bool shared = false;
      for (std::uint32_t k = 0; k < machine_.nets().size(); ++k) shared = shared || (net_.cluster[k] == net_.cluster[net] && driven_[k]);
      bool pushed = false;
      for (std::uint32_t k = 0; k < machine_.nets().size(); ++k) pushed = pushed || (net_.cluster[k] == net_.cluster[net] && pushed_[k]);
      if (role == PinRole::bidirectional && (pushed || others_are_open(net))) continue;
      drive(part, pin, {data, kNone32}, std::nullopt, {}, shared && role != PinRole::output);
    }
  }
  /// Some other driver pulls one way only, or a resistor holds the net: an output of unknown direction is then taken as an input.
  bool others_are_open(std::uint32_t net) const {
    for (std::uint32_t k = 0; k < machine_.nets().size(); ++k) {
      if (net_.cluster[k] != net_.cluster[net]) continue;
      for (const auto& c : contributions_[k])
        if (c.ohms == 0 && c.pin != kNone32 && net_.ops[c.node].kind == OpKind::drive && (net_.ops[c.node].open_low || net_.ops[c.node].open_high)) return true;
    }
    for (const Link& l : links_)
      if (l.kind == Template::resistor && (is_power(l.net_a) || is_power(l.net_b)) && (net_.cluster[l.net_a] == net_.cluster[net] || net_.cluster[l.net_b] == net_.cluster[net]))
        return true;
    return false;
  }
  bool on_data_bus(std::uint32_t net) const {
    for (const auto& master : net_.masters)
      for (const auto pin : master.block->port("data")) {
        const auto other = net_of(machine_.pin_of(PartId(master.part), pin).index());
        if (other != kNone32 && net_.cluster[other] == net_.cluster[net]) return true;
      }
    return false;
  }

  /// Passives carry levels away from where they are driven: breadth first from nets with strong drivers.
  void orient_links() {
    std::map<std::uint32_t, bool> cluster_driven;
    for (std::uint32_t i = 0; i < driven_.size(); ++i)
      if (driven_[i]) cluster_driven[net_.cluster[i]] = true;
    for (const auto i : outside_) cluster_driven[i] = true;
    std::vector<std::uint32_t> distance(machine_.nets().size(), kNone32), queue;
    for (const auto& [cluster, yes] : cluster_driven) { distance[cluster] = 0; queue.push_back(cluster); }
    const auto carries = [&](const Link& l) {
      return !l.closed && l.kind != Template::contact && l.kind != Template::crystal && !is_power(l.net_a) && !is_power(l.net_b);
    };
    for (std::size_t head = 0; head < queue.size(); ++head)
      for (const Link& l : links_) {
        if (!carries(l)) continue;
        const std::uint32_t a = net_.cluster[l.net_a], b = net_.cluster[l.net_b];
        for (const auto& [from, to] : {std::pair{a, b}, std::pair{b, a}})
          if (from == queue[head] && distance[to] == kNone32) { distance[to] = distance[from] + 1; queue.push_back(to); }
      }
    away_ = distance;
    for (const Link& l : links_) {
      if (l.closed) continue;
      if (l.kind == Template::contact) { contact_paths(l); continue; }
      if (l.kind == Template::crystal) { crystal_paths(l); continue; }
      const std::uint32_t a = net_.cluster[l.net_a], b = net_.cluster[l.net_b];
      if (a == b) continue;
      if (is_power(l.net_a) || is_power(l.net_b)) { pull(l); continue; }
      const bool both_driven = distance[a] == 0 && distance[b] == 0 && strongly_driven(a) && strongly_driven(b);
      if (distance[a] == kNone32 && distance[b] == kNone32) continue;
      if (both_driven) {
        if (!cluster_pushed(b)) path(l, true, true);
        if (!cluster_pushed(a)) path(l, false, true);
      } else if (distance[a] <= distance[b]) {
        path(l, true, false);
      } else {
        path(l, false, false);
      }
    }
  }
  bool strongly_driven(std::uint32_t cluster) const {
    for (const auto k : net_.cluster_nets[cluster])
      if (driven_[k]) return true;
    return false;
  }
  bool cluster_pushed(std::uint32_t cluster) const {
    for (std::uint32_t i = 0; i < pushed_.size(); ++i)
      if (pushed_[i] && net_.cluster[i] == cluster) return true;
    return false;
  }
  void pull(const Link& l) {
    if (l.kind == Template::capacitor || (is_power(l.net_a) && is_power(l.net_b))) return;
    const bool a_is_power = is_power(l.net_a);
    const std::uint32_t rail = a_is_power ? l.net_a : l.net_b, net = a_is_power ? l.net_b : l.net_a;
    Contribution c{net_.net_node[rail], a_is_power ? l.pin_b : l.pin_a, a_is_power ? l.pin_a : l.pin_b, net, kPull + std::max(1.0, l.ohms), l.part,
                   static_cast<std::uint16_t>(l.element), false, false, false};
    if (l.kind == Template::diode) {  // a clamp: does nothing at sound levels, unless it is the only way
      const bool conducts = (machine_.nets()[rail].kind == NetKind::rail) == a_is_power;
      if (!conducts || driven_[net]) return;
      c.ohms = kPull * 10;  // anything that drives the net through a resistor comes first
    }
    contributions_[net].push_back(c);
  }
  void path(const Link& l, bool a_to_b, bool strong_only) {
    const std::uint32_t from = a_to_b ? l.net_a : l.net_b, to = a_to_b ? l.net_b : l.net_a;
    Contribution c{strong_only ? net_.strong_node[from] : net_.net_node[from], a_to_b ? l.pin_b : l.pin_a, a_to_b ? l.pin_a : l.pin_b, to,
                   l.kind == Template::resistor ? std::max(4.0, l.ohms) : l.kind == Template::diode ? 20.0 : 3.0, l.part,
                   static_cast<std::uint16_t>(l.element), false, false, false};
    if (l.kind == Template::diode) { c.high_only = a_to_b; c.low_only = !a_to_b; }
    c.moving_only = l.kind == Template::capacitor;
    if (l.kind == Template::resistor && delays(l, to)) c.node = add_op(OpKind::delay, {{c.node, kNone32}});
    contributions_[to].push_back(c);
  }
  /// A resistor into a net that a small capacitor holds: late by one phase (1 ns to 2 us).
  bool delays(const Link& resistor, std::uint32_t to) const {
    if (driven_[to]) return false;
    for (const Link& c : links_) {
      if (c.kind != Template::capacitor || (net_.cluster[c.net_a] != net_.cluster[to] && net_.cluster[c.net_b] != net_.cluster[to])) continue;
      if (!is_power(c.net_a) && !is_power(c.net_b)) continue;
      const double tau_s = resistor.ohms * c.farads;
      if (tau_s > 1e-9 && tau_s < 2e-6) return true;
    }
    return false;
  }
  void contact_paths(const Link& l) {
    for (const bool a_to_b : {true, false}) {
      const std::uint32_t from = a_to_b ? l.net_a : l.net_b, to = a_to_b ? l.net_b : l.net_a;
      const bool whole = away_[net_.cluster[from]] < away_[net_.cluster[to]];  // towards the undriven side all of it passes, back only what is driven there
      contributions_[to].push_back({whole ? net_.net_node[from] : net_.strong_node[from], a_to_b ? l.pin_b : l.pin_a, a_to_b ? l.pin_a : l.pin_b, to, 0.8, l.part,
                                    static_cast<std::uint16_t>(l.element), true, false, false});
    }
  }
  void crystal_paths(const Link& l) {
    for (const auto& [net, pin] : {std::pair{l.net_a, l.pin_a}, std::pair{l.net_b, l.pin_b}})
      contributions_[net].push_back({moving(), pin, kNone32, net, 5.0, l.part, static_cast<std::uint16_t>(l.element), false, false, false});
  }
  /// A net that nothing on the machine drives or holds but that a connector brings in: the outside moves it.
  void feed_from_outside() {
    std::vector<bool> has_source(machine_.nets().size(), false), has_connector(machine_.nets().size(), false);
    for (std::uint32_t i = 0; i < machine_.nets().size(); ++i) {
      for (const auto& c : contributions_[i]) {
        const bool sometimes = c.ohms == 0 && c.pin != kNone32 && net_.operands[net_.ops[c.node].first + 1].node != kNone32;
        if (!sometimes) has_source[net_.cluster[i]] = true;
      }
      for (const PinId p : machine_.nets()[i].pins) {
        const auto& type = *machine_.part(machine_.pin(p).part).type;
        if (type.rate_class.find("connector") != std::string::npos || type.rate_class.find("plug") != std::string::npos) has_connector[net_.cluster[i]] = true;
      }
    }
    // Held: pulled to a rail, directly or through a resistor to a net that is.
    std::vector<bool> held(machine_.nets().size(), false);
    for (bool more = true; more;) {
      more = false;
      for (const Link& l : links_) {
        if (l.kind != Template::resistor) continue;
        for (const auto& [from, to] : {std::pair{l.net_a, l.net_b}, std::pair{l.net_b, l.net_a}}) {
          const bool source = is_power(from) || held[net_.cluster[from]];
          if (source && !is_power(to) && !held[net_.cluster[to]]) more = held[net_.cluster[to]] = true;
        }
      }
    }
    for (std::uint32_t i = 0; i < machine_.nets().size(); ++i)
      if (net_.cluster[i] == i && has_connector[i] && !has_source[i] && !held[i] && !is_power(i)) {
        contributions_[i].push_back({moving(), kNone32, kNone32, i, 10.0, kNone32, 0, false, false, false});
        outside_.push_back(i);
      }
  }

  void make_nets() {
    for (std::uint32_t i = 0; i < machine_.nets().size(); ++i) {
      std::vector<Contribution> strong, weak;
      for (std::uint32_t k = 0; k < machine_.nets().size(); ++k) {
        if (net_.cluster[k] != net_.cluster[i]) continue;
        for (const auto& c : contributions_[k]) (c.ohms == 0 ? strong : weak).push_back(c);
      }
      std::stable_sort(weak.begin(), weak.end(), [](const auto& a, const auto& b) { return a.ohms < b.ohms; });
      bool bipolar = true;
      for (const auto& c : strong)
        if (c.pin != kNone32)
          if (const auto* family = machine_.part(machine_.pin(PinId(c.pin)).part).family) bipolar = bipolar && family->low_wins;
      const auto place = [&](NodeId node, const std::vector<Contribution>& list) {
        net_.ops[node].first = static_cast<std::uint32_t>(net_.contributions.size());
        net_.ops[node].count = static_cast<std::uint32_t>(list.size());
        net_.ops[node].low_wins = bipolar;
        net_.contributions.insert(net_.contributions.end(), list.begin(), list.end());
      };
      place(net_.strong_node[i], strong);
      weak.insert(weak.begin(), Contribution{net_.strong_node[i], kNone32, kNone32, i, 0.0, kNone32, 0, false, false, false});
      place(net_.net_node[i], weak);
    }
  }

  /// The clock whose level follows the phase: from the processor's clock pin back through gates to the first output that moves by itself.
  void find_phase_clocks() {
    for (std::size_t m = 0; m < net_.masters.size(); ++m) {
      const auto& master = net_.masters[m];
      std::optional<std::uint16_t> pin;
      for (const auto& cycle : master.block->cycles)
        if (cycle.phase_clock) pin = cycle.phase_clock;
      if (!pin) continue;
      const std::uint32_t clock = pin_of(PartId(master.part), *pin);
      if (net_of(clock) == kNone32 || !walk_back(net_.net_node[net_of(clock)])) notes_.push_back({"no clock source was found for " + machine_.name_of(PinId(clock))});
    }
  }
  bool walk_back(NodeId start) {
    std::vector<NodeId> queue{start};
    std::vector<bool> seen(net_.ops.size(), false);
    for (std::size_t head = 0; head < queue.size(); ++head) {
      const NodeId node = queue[head];
      const Op op = net_.ops[node];
      if (op.kind == OpKind::drive) {
        Operand& data = net_.operands[op.first];
        const OpKind source = net_.ops[data.node].kind;
        const bool moves = source == OpKind::storage || source == OpKind::all_right || (source == OpKind::constant && !is_zero(net_.constants[net_.ops[data.node].aux].right));
        if (source == OpKind::phase) return true;
        if (moves) {
          const Operand inner = data;
          const NodeId made = add_op(OpKind::phase, {inner}, 0);
          net_.operands[op.first] = {made, kNone32};
          return true;
        }
      }
      each_input(op, [&](NodeId input) {
        if (!seen[input]) { seen[input] = true; queue.push_back(input); }
      });
    }
    return false;
  }

  // ---- order ----
  template <class F>
  void each_input(const Op& op, F f) const {
    if (op.kind == OpKind::strong || op.kind == OpKind::resolve) {
      for (std::uint32_t k = 0; k < op.count; ++k) f(net_.contributions[op.first + k].node);
    } else {
      for (std::uint32_t k = 0; k < op.count; ++k)
        if (net_.operands[op.first + k].node != kNone32) f(net_.operands[op.first + k].node);
    }
  }

  /// Tarjan's strongly connected components, iterative; the order of completion is a topological order of the reversed graph.
  void sort_ops() {
    const std::size_t n = net_.ops.size();
    std::vector<std::vector<NodeId>> inputs(n);
    for (std::size_t i = 0; i < n; ++i) each_input(net_.ops[i], [&](NodeId node) { inputs[i].push_back(node); });
    std::vector<std::uint32_t> index(n, kNone32), lowest(n, 0), position(n, kNone32), component(n, kNone32);
    std::vector<NodeId> stack, order;
    std::vector<std::pair<NodeId, std::size_t>> work;
    std::vector<bool> on_stack(n, false);
    std::uint32_t counter = 0, components = 0;
    for (NodeId root = 0; root < n; ++root) {
      if (index[root] != kNone32) continue;
      work.push_back({root, 0});
      while (!work.empty()) {
        auto& [node, next] = work.back();
        if (next == 0) {
          index[node] = lowest[node] = counter++;
          stack.push_back(node);
          on_stack[node] = true;
        }
        if (next < inputs[node].size()) {
          const NodeId input = inputs[node][next++];
          if (index[input] == kNone32) work.push_back({input, 0});
          else if (on_stack[input]) lowest[node] = std::min(lowest[node], index[input]);
          continue;
        }
        if (lowest[node] == index[node]) {
          NodeId member;
          do {
            member = stack.back();
            stack.pop_back();
            on_stack[member] = false;
            component[member] = components;
            order.push_back(member);
          } while (member != node);
          ++components;
        }
        const NodeId finished = node;
        work.pop_back();
        if (!work.empty()) lowest[work.back().first] = std::min(lowest[work.back().first], lowest[finished]);
      }
    }
    for (std::size_t i = 0; i < n; ++i) position[order[i]] = static_cast<std::uint32_t>(i);
    std::vector<Op> sorted(n);
    for (std::size_t i = 0; i < n; ++i) sorted[position[i]] = net_.ops[i];
    net_.ops = std::move(sorted);
    net_.group.resize(n);
    net_.group_size.assign(n, 0);
    for (std::uint32_t i = 0; i < n; ++i) {
      const bool continues = i > 0 && component[order[i]] == component[order[i - 1]];
      net_.group[i] = continues ? net_.group[i - 1] : i;
      ++net_.group_size[net_.group[i]];
    }
    const auto moved = [&](NodeId& node) { if (node != kNone32) node = position[node]; };
    for (auto& o : net_.operands) moved(o.node);
    for (auto& c : net_.contributions) moved(c.node);
    for (auto* list : {&net_.net_node, &net_.strong_node, &net_.drive_node, &net_.power_node, &net_.access_node})
      for (auto& node : *list) moved(node);
    const auto moved_operand = [&](std::optional<Operand>& o) { if (o) moved(o->node); };
    for (auto& s : net_.storages) {
      moved(s.node);
      for (auto* o : {&s.clock, &s.data, &s.control, &s.power, &s.write}) moved_operand(*o);
      for (auto& o : s.also_data) moved(o.node);
      for (auto& o : s.inputs) moved(o.node);
    }
    for (auto& s : net_.sampled) { moved(s.node); moved(s.row.node); moved(s.column.node); }
  }

  void index_readers() {
    const std::size_t n = net_.ops.size();
    std::vector<std::vector<std::uint32_t>> readers(n), storage_readers(n);
    for (std::uint32_t i = 0; i < n; ++i)
      each_input(net_.ops[i], [&](NodeId node) { if (readers[node].empty() || readers[node].back() != i) readers[node].push_back(i); });
    for (std::uint32_t s = 0; s < net_.storages.size(); ++s) {
      const auto& storage = net_.storages[s];
      const auto add = [&](const Operand& o) { if (storage_readers[o.node].empty() || storage_readers[o.node].back() != s) storage_readers[o.node].push_back(s); };
      for (const auto* o : {&storage.clock, &storage.data, &storage.control, &storage.power, &storage.write}) if (*o) add(**o);
      for (const auto& o : storage.also_data) add(o);
      for (const auto& o : storage.inputs) add(o);
    }
    const auto flatten = [](const std::vector<std::vector<std::uint32_t>>& lists, std::vector<std::uint32_t>& first, std::vector<std::uint32_t>& all) {
      for (const auto& list : lists) {
        first.push_back(static_cast<std::uint32_t>(all.size()));
        all.insert(all.end(), list.begin(), list.end());
      }
      first.push_back(static_cast<std::uint32_t>(all.size()));
    };
    net_.pin_ops.resize(machine_.pins().size());
    net_.pin_storages.resize(machine_.pins().size());
    net_.part_ops.resize(machine_.parts().size());
    const auto note = [](std::vector<std::uint32_t>& list, std::uint32_t i) { if (list.empty() || list.back() != i) list.push_back(i); };
    for (std::uint32_t i = 0; i < n; ++i) {
      const Op& op = net_.ops[i];
      const bool net = op.kind == OpKind::strong || op.kind == OpKind::resolve;
      for (std::uint32_t k = 0; k < op.count; ++k) {
        if (!net) {
          if (net_.operands[op.first + k].pin != kNone32) note(net_.pin_ops[net_.operands[op.first + k].pin], i);
          continue;
        }
        const Contribution& c = net_.contributions[op.first + k];
        for (const auto pin : {c.pin, c.far_pin}) if (pin != kNone32) note(net_.pin_ops[pin], i);
        if (c.part != kNone32) note(net_.part_ops[c.part], i);
      }
    }
    for (std::uint32_t k = 0; k < net_.storages.size(); ++k) {
      const auto& storage = net_.storages[k];
      const auto add = [&](const Operand& o) { if (o.pin != kNone32) note(net_.pin_storages[o.pin], k); };
      for (const auto* o : {&storage.clock, &storage.data, &storage.control, &storage.write}) if (*o) add(**o);
      for (const auto& o : storage.also_data) add(o);
      for (const auto& o : storage.inputs) add(o);
    }
    flatten(readers, net_.readers_first, net_.readers);
    flatten(storage_readers, net_.storage_first, net_.storage_readers);
  }

  const Machine& machine_;
  std::vector<CompileNote>& notes_;
  Network net_;
  Clusters clusters_;
  std::vector<Link> links_;
  std::vector<std::vector<Contribution>> contributions_;
  std::vector<bool> pushed_, driven_;
  std::vector<std::uint32_t> away_;     ///< per cluster: passives between it and a driver
  std::vector<std::uint32_t> outside_;  ///< clusters that only the outside moves
  std::vector<NodeId> constant_nodes_;
  struct Leftover { PartId part; std::uint16_t pin; NodeId data; };
  std::vector<Leftover> leftovers_;
};

}  // namespace

Network compile(const Machine& machine, std::vector<CompileNote>& notes) { return Compiler(machine, notes).run(); }

}  // namespace halfsplit::logic
