#include "circuit/elaborate.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "base/text.h"
#include "circuit/models.h"
#include "circuit/troubles.h"

namespace halfsplit::circuit {
namespace {

using board::NetId;
using board::NetKind;
using board::PartId;
using board::PinId;
using parts::Block;
using parts::PinRole;
using parts::Template;

constexpr double kSupplyOhms = 0.1, kOtherDrawShare = 0.2, kChargePumpOhms = 50;

class Elaborator {
 public:
  explicit Elaborator(const board::Machine& machine) : machine_(machine), table_(machine.library().electrical()) {
    out_.machine = &machine;
    out_.net_node.resize(machine.nets().size());
    out_.pin_node.resize(machine.pins().size());
    out_.joint.resize(machine.pins().size());
    out_.stage.resize(machine.pins().size());
    out_.devices_of.resize(machine.parts().size());
    out_.low_node.assign(machine.parts().size(), kGround);
  }

  Circuit run() {
    place_nets();
    for (std::size_t i = 0; i < machine_.parts().size(); ++i)
      if (machine_.parts()[i].fitted) place_part(PartId(i));
    for (std::size_t i = 0; i < machine_.pins().size(); ++i)
      if (!out_.pin_node[i] && machine_.pins()[i].net.known()) out_.pin_node[i] = out_.net_node[machine_.pins()[i].net.index()];
    feed_rails();
    find_troubles(out_, blind_);
    return std::move(out_);
  }

 private:
  const board::Part& part(PartId id) const { return machine_.part(id); }
  std::optional<NodeIndex> net_of(PinId pin) const {
    const NetId net = machine_.pin(pin).net;
    return net.known() ? out_.net_node[net.index()] : std::nullopt;
  }

  void place_nets() {
    bool grounded = false;
    for (std::size_t i = 0; i < machine_.nets().size(); ++i) {
      const bool ground = machine_.nets()[i].kind == NetKind::ground;
      if (ground && !grounded) out_.net_node[i] = kGround;
      else out_.net_node[i] = out_.network.add_node();
      if (ground && grounded) out_.network.add(between(*out_.net_node[i], kGround, Resistor{kJointSiemens, 0.3}));  // one ground by wire somewhere
      grounded = grounded || ground;
    }
  }

  /// The node of a leg, behind its joint; a leg that goes nowhere has a node all the same.
  NodeIndex leg(PinId pin) {
    if (out_.pin_node[pin.index()]) return *out_.pin_node[pin.index()];
    const NodeIndex node = out_.network.add_node();
    out_.pin_node[pin.index()] = node;
    if (const auto net = net_of(pin)) {
      Device joint = between(node, *net, Resistor{kJointSiemens, 0.3});
      joint.pin[0] = pin;
      out_.joint[pin.index()] = out_.network.add(std::move(joint));
    }
    return node;
  }
  DeviceIndex add(PartId id, Law law, std::initializer_list<PinId> pins) {
    Device it;
    it.law = std::move(law);
    it.part = id;
    it.terminals = static_cast<std::uint8_t>(pins.size());
    std::size_t k = 0;
    for (const PinId pin : pins) {
      it.pin[k] = pin;
      it.node[k++] = leg(pin);
    }
    const DeviceIndex index = out_.network.add(std::move(it));
    out_.devices_of[id.index()].push_back(index);
    return index;
  }

  void place_part(PartId id) {
    if (part(id).family) return place_chip(id);
    place_elements(id);
    bool modelled = !parts::elements(*part(id).type).empty();
    for (const Block& block : part(id).type->blocks) {
      const auto pin = [&](std::string_view port) { return machine_.pin_of(id, block.port(port).front()); };
      if (block.kind == Template::transistor) {
        add(id, transistor_law(part(id), block, table_), {pin("collector"), pin("base"), pin("emitter")});
        modelled = true;
      } else if (block.kind == Template::regulator) {
        const Regulator law = regulator_law(part(id), block, table_);
        if (block.port("ground").empty()) add_grounded_regulator(id, law, pin("in"), pin("out"));
        else add(id, law, {pin("in"), pin("out"), pin("ground")});
        modelled = true;
      }
    }
    const std::string& kind = part(id).type->rate_class;
    const bool single = part(id).pin_count == 0 || (part(id).pin_count == 1 && !parts::can_drive(part(id).type->pins[0].role));
    const bool leads_off = kind == "connector" || part(id).surroundings || single;
    if (!modelled && !leads_off)
      for (std::size_t i = 0; i < part(id).pin_count; ++i) unknown_at(machine_.pin_of(id, i));
  }
  void add_grounded_regulator(PartId id, const Regulator& law, PinId in, PinId out) {
    Device it;
    it.law = law;
    it.part = id;
    it.terminals = 3;
    it.node = {leg(in), leg(out), kGround};
    it.pin = {in, out};
    out_.devices_of[id.index()].push_back(out_.network.add(std::move(it)));
  }

  /// Elements are numbered over all blocks as parts::elements() does.
  void place_elements(PartId id) {
    const std::vector<parts::Element> all = parts::elements(*part(id).type);
    std::uint16_t element = 0;
    for (const Block& block : part(id).type->blocks) {
      if (!parts::is_element(block.kind)) continue;
      std::optional<Law> law = element_law(part(id), block);
      if (block.kind == Template::diode)
        if (const auto diode = diode_law(part(id), block, table_)) law = *diode;
      if (!law) out_.troubles.push_back(unusable_value(id));
      const bool diode = block.kind == Template::diode;
      const std::size_t count = std::max(block.port(diode ? "anode" : "a").size(), block.port(diode ? "cathode" : "b").size());
      if (block.kind == Template::resistor && part(id).value_si == 0.0) out_.troubles.push_back(zero_value(id));
      for (std::size_t i = 0; i < count && element < all.size(); ++i, ++element) {
        const PinId a = machine_.pin_of(id, all[element].a), b = machine_.pin_of(id, all[element].b);
        const DeviceIndex device = add(id, law.value_or(Law(Nothing{})), {a, b});
        out_.network.devices[device].element = element;
        out_.network.devices[device].fuse_a = fuse_rating(part(id));
        if (!law) blind_.insert(blind_.end(), {leg(a), leg(b)});
      }
    }
  }
  Trouble unusable_value(PartId id) const {
    const board::Part& it = part(id);
    if (it.value.empty()) return {it.ref + " has no value: what hangs on it is not predicted", "give it one in the parts list", {id}};
    return {it.ref + ": a value of " + it.value + " can't be: what hangs on it is not predicted", "correct it in the parts list", {id}};
  }
  Trouble zero_value(PartId id) const { return {part(id).ref + ": a value of zero is taken as a link", "fit a link in the parts list if it is one", {id}}; }

  // ---- chips ----
  void place_chip(PartId id) {
    const board::Part& it = part(id);
    const parts::StageModel& model = stage_of(it.family->id);
    std::optional<PinId> low, high;
    for (std::size_t i = 0; i < it.pin_count; ++i) {
      const PinId pin = machine_.pin_of(id, i);
      const parts::Pin& type = it.type->pins[i];
      if (!net_of(pin)) continue;
      const bool negative = type.name == "V-" || type.name == "VEE" || type.name == "VSS" || rail_v(pin) < 0;
      if (type.role == PinRole::ground && (!low || part_role(*low) != PinRole::ground)) low = pin;
      else if (type.role == PinRole::supply && negative && !low) low = pin;
      else if (type.role == PinRole::supply && !negative && (!high || (std::abs(rail_v(pin) - 5) < 1 && std::abs(rail_v(*high) - 5) > 1))) high = pin;
      if (type.role == PinRole::ground || type.role == PinRole::supply) out_.pin_node[pin.index()] = net_of(pin);
    }
    if (low) out_.low_node[id.index()] = *net_of(*low);
    place_loads(id, model, high);
    const parts::AmplifierModel* amplifier = table_.amplifier(it.type->id);
    if (amplifier && high) place_amplifiers(id, *amplifier, *high);
    for (std::size_t i = 0; i < it.pin_count; ++i) place_chip_pin(id, machine_.pin_of(id, i), model, high, amplifier != nullptr);
    place_elements(id);
  }
  const parts::StageModel& stage_of(const std::string& family) {
    stages_.push_back(std::make_unique<parts::StageModel>(table_.stage(family)));
    return *stages_.back();
  }
  PinRole part_role(PinId pin) const { return machine_.pin_type(pin).role; }
  double rail_v(PinId pin) const {
    if (machine_.pin_type(pin).rail_v != 0) return machine_.pin_type(pin).rail_v;
    const NetId net = machine_.pin(pin).net;
    return net.known() ? machine_.net(net).rail_v : 0;
  }
  void place_loads(PartId id, const parts::StageModel& model, std::optional<PinId> main) {
    const parts::DrawModel* draw = table_.draw(part(id).type->id);
    const double amps = draw ? draw->amps : model.draw_a;
    for (std::size_t i = 0; i < part(id).pin_count; ++i) {
      const PinId pin = machine_.pin_of(id, i);
      const double volts = rail_v(pin);
      if (part_role(pin) != PinRole::supply || !net_of(pin) || volts == 0) continue;
      Load load{main == pin ? amps : amps * kOtherDrawShare, std::abs(volts), 0.4 * std::abs(volts), 0.8 * std::abs(volts), model.idle_ohm};
      Device it;
      it.law = load;
      it.part = id;
      const NodeIndex low = out_.low_node[id.index()];
      it.node = volts > 0 ? std::array<NodeIndex, kMostTerminals>{*net_of(pin), low} : std::array<NodeIndex, kMostTerminals>{low, *net_of(pin)};
      if (it.node[0] == it.node[1]) continue;
      it.pin[volts > 0 ? 0 : 1] = pin;
      out_.devices_of[id.index()].push_back(out_.network.add(std::move(it)));
    }
  }
  void place_chip_pin(PartId id, PinId pin, const parts::StageModel& model, std::optional<PinId> high, bool amplifier) {
    const PinRole role = part_role(pin);
    if (role == PinRole::supply || role == PinRole::ground || role == PinRole::not_connected || !net_of(pin)) return;
    const bool analogue = role == PinRole::passive || role == PinRole::analog_out;
    const bool modelled = amplifier && out_.pin_node[pin.index()];
    if (analogue && !modelled) unknown_at(pin);
    if (!high || role == PinRole::passive || (amplifier && role != PinRole::analog_in)) return;
    Stage law = stage_law(model, part(id).family->float_v / 5);
    if (role == PinRole::analog_in) law.pull_up_ohm = 0;
    Device it;
    it.law = law;
    it.part = id;
    it.terminals = 3;
    it.node = {leg(pin), *net_of(*high), out_.low_node[id.index()]};
    it.pin = {pin, *high};
    out_.stage[pin.index()] = out_.network.add(std::move(it));
    out_.devices_of[id.index()].push_back(*out_.stage[pin.index()]);
  }
  /// A box with an output and two inputs named with + and -; closed-loop parts rest at their share of the supply.
  void place_amplifiers(PartId id, const parts::AmplifierModel& model, PinId high) {
    for (const Block& block : part(id).type->blocks) {
      if (block.kind != Template::box || block.port("out").size() != 1) continue;
      const PinId out = machine_.pin_of(id, block.port("out").front());
      if (!net_of(out)) continue;
      Device it;
      it.part = id;
      if (model.bias_share > 0) {
        Stage rest;
        rest.drive = Drive::moving;
        rest.moving_share = model.bias_share;
        rest.low_v = rest.high_drop_v = 0;
        rest.low_ohm = rest.high_ohm = model.output_ohm;
        it.law = rest;
        it.terminals = 3;
        it.node = {leg(out), *net_of(high), out_.low_node[id.index()]};
        it.pin = {out, high};
      } else {
        std::optional<PinId> plus, minus;
        for (const parts::Expression& need : block.term("needs"))
          for (const parts::Expression::Node& node : need.nodes) {
            if (node.op != parts::Expression::Op::pin) continue;
            const std::string& name = part(id).type->pins[node.pin].name;
            if (name.ends_with("+")) plus = machine_.pin_of(id, node.pin);
            if (name.ends_with("-")) minus = machine_.pin_of(id, node.pin);
          }
        if (!plus || !minus) continue;
        it.law = Amplifier{model.gain, model.output_ohm, model.headroom_high_v, model.headroom_low_v, 1.5, 3, model.offset_v, model.open_collector};
        it.terminals = 5;
        it.node = {leg(*plus), leg(*minus), leg(out), *net_of(high), out_.low_node[id.index()]};
        it.pin = {*plus, *minus, out, high};
      }
      out_.devices_of[id.index()].push_back(out_.network.add(std::move(it)));
    }
  }
  void unknown_at(PinId pin) {
    if (const auto node = net_of(pin)) blind_.push_back(*node);
  }

  // ---- supplies ----
  /// Every rail that a part outside feeds, and every rail that nothing on the board does.
  void feed_rails() {
    for (std::size_t i = 0; i < machine_.nets().size(); ++i) {
      const board::Net& net = machine_.nets()[i];
      if (net.kind != NetKind::rail || net.rail_v == 0) continue;
      if (!net.source && fed_on_board(*out_.net_node[i])) continue;
      Device it = between(*out_.net_node[i], kGround, Source{net.rail_v, kSupplyOhms, 0, std::max(0.02, std::abs(net.rail_v) * net.tolerance / 2)});
      if (net.source) it.part = *net.source;
      const DeviceIndex index = out_.network.add(std::move(it));
      if (net.source) out_.devices_of[net.source->index()].push_back(index);
      out_.supplies.push_back(index);
    }
  }
  /// A regulator's output reaches it, or another rail through wire and coils.
  bool fed_on_board(NodeIndex rail) const {
    std::vector<bool> seen(out_.network.nodes, false);
    std::vector<NodeIndex> todo{rail};
    seen[rail] = true;
    while (!todo.empty()) {
      const NodeIndex at = todo.back();
      todo.pop_back();
      if (at != rail && is_rail(at)) return true;
      for (const Device& it : out_.network.devices) {
        const auto* regulator = std::get_if<Regulator>(&it.law);
        if (regulator && it.node[1] == at) return true;
        const auto* resistor = std::get_if<Resistor>(&it.law);
        const bool wire = (resistor && resistor->siemens > 0.2) || std::holds_alternative<Bipolar>(it.law) || std::holds_alternative<Junction>(it.law);
        if (!wire) continue;
        const std::size_t last = it.terminals - 1u;
        for (const auto& [from, to] : {std::pair(it.node[0], it.node[last]), std::pair(it.node[last], it.node[0])})
          if (from == at && to != kGround && !seen[to]) seen[to] = true, todo.push_back(to);
      }
    }
    return false;
  }
  bool is_rail(NodeIndex node) const {
    for (std::size_t i = 0; i < machine_.nets().size(); ++i)
      if (out_.net_node[i] == node && machine_.nets()[i].kind == NetKind::rail) return true;
    return false;
  }

  const board::Machine& machine_;
  const parts::ElectricalTable& table_;
  Circuit out_;
  std::vector<NodeIndex> blind_;   ///< nodes at which something hangs that has no model
  std::vector<std::unique_ptr<parts::StageModel>> stages_;
};

}  // namespace

Drive drive_of(PinRole role, Drive level) {
  if (!parts::can_drive(role)) return Drive::off;
  if (role == PinRole::open_collector && level == Drive::high) return Drive::off;
  if (role == PinRole::open_emitter && level == Drive::low) return Drive::off;
  return level;
}

Circuit elaborate(const board::Machine& machine) { return Elaborator(machine).run(); }

}  // namespace halfsplit::circuit
