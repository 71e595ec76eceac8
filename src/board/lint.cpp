#include "board/lint.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "board/live_nets.h"
#include "parts/element.h"

namespace halfsplit::board {

namespace {

using parts::PinRole;
using Grade = Finding::Grade;

constexpr double kRailSlack = 0.15;     ///< share of the wanted volts by which a rail may differ: 5 V parts run on 4.8 or 5.2
constexpr double kSmallOhms = 100;      ///< a resistor in a supply line
constexpr std::size_t kNamed = 6;       ///< names in one message

class Linter {
 public:
  explicit Linter(const Machine& machine)
      : machine_(machine), live_(live_nets(machine.parts(), machine.pins(), machine.nets(), plugged())), power_(powered_nets()) {}

  std::vector<Finding> run() {
    for (std::size_t i = 0; i < machine_.parts().size(); ++i)
      if (machine_.parts()[i].fitted) check_part(PartId(i));
    for (std::size_t i = 0; i < machine_.nets().size(); ++i) check_net(NetId(i));
    for (const Function& function : machine_.functions())
      if (!function.feeds) add(Grade::warning, "unfed-function", fmt::format("nothing feeds the function {} ({})", function.id, function.title), "a wrong pin in its needs, or a part or wire missing from the drawing", needed_pins(function));
    check_ground();
    std::stable_sort(findings_.begin(), findings_.end(), [&](const Finding& a, const Finding& b) { return before(a, b); });
    return std::move(findings_);
  }

 private:
  void add(Grade grade, std::string kind, std::string message, std::string hint, std::vector<PinId> pins) {
    findings_.push_back({grade, std::move(kind), std::move(message), std::move(hint), std::move(pins)});
  }
  const Part& part_of(PinId pin) const { return machine_.part(machine_.pin(pin).part); }
  PinRole role(PinId pin) const { return machine_.pin_type(pin).role; }
  std::string name(PinId pin) const { return machine_.long_name_of(pin); }
  std::string net_name(NetId net) const { return in_quotes(machine_.net(net).name); }

  bool before(const Finding& a, const Finding& b) const {
    if (a.grade != b.grade) return a.grade < b.grade;
    const std::string x = a.pins.empty() ? "" : machine_.name_of(a.pins.front()), y = b.pins.empty() ? "" : machine_.name_of(b.pins.front());
    return x != y ? natural_less(x, y) : a.kind < b.kind;
  }

  std::string names(const std::vector<PinId>& pins) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < std::min(pins.size(), kNamed); ++i) out.push_back(name(pins[i]));
    return join(out, ", ") + (pins.size() > kNamed ? fmt::format(" and {} more", pins.size() - kNamed) : "");
  }

  static std::vector<PinId> needed_pins(const Function& function) {
    std::vector<PinId> out;
    for (const Need& need : function.needs)
      if (need.pin.known()) out.push_back(need.pin);
    return out;
  }

  std::vector<bool> plugged() const {
    std::vector<bool> out;
    for (std::size_t i = 0; i < machine_.parts().size(); ++i) out.push_back(!machine_.plug_contacts(PartId(i)).empty());
    return out;
  }

  // ---- parts ----
  void check_part(PartId id) {
    const Part& part = machine_.part(id);
    std::vector<PinId> pins, open_inputs;
    bool connected = part.pin_count == 0;
    for (std::size_t i = 0; i < part.pin_count; ++i) pins.push_back(machine_.pin_of(id, i));
    for (const PinId pin : pins) connected = connected || machine_.pin(pin).net.known();
    if (part.type->custom) add(Grade::note, "custom-type", fmt::format("{} ({}) has guessed pin roles only", part.ref, part.value.empty() ? part.type->title : part.value), "write its type into the unit's types folder", {pins.begin(), pins.begin() + std::min<std::ptrdiff_t>(1, part.pin_count)});
    if (!connected) return add(Grade::note, "unconnected-part", fmt::format("{} is connected to nothing", part.ref), "name its pins in nets.toml, or set fitted = false", {pins.front()});
    if (!part.value.empty() && wants_value(*part.type) && !part.value_si) add(Grade::note, "unread-value", fmt::format("the value {} of {} can't be read", in_quotes(part.value), part.ref), "as in 4.7k, 100n, 10u, 16MHz", {pins.front()});
    for (const PinId pin : pins) {
      if (role(pin) == PinRole::supply) check_supply(pin);
      else if (role(pin) == PinRole::ground) check_ground_pin(pin);
      else if ((role(pin) == PinRole::input || role(pin) == PinRole::clock) && !machine_.pin(pin).net.known()) open_inputs.push_back(pin);
    }
    check_open_inputs(part, open_inputs);
  }

  static bool wants_value(const parts::PartType& type) {
    const auto has_value = [](const parts::Block& block) {
      return block.kind == parts::Template::resistor || block.kind == parts::Template::capacitor || block.kind == parts::Template::inductor || block.kind == parts::Template::crystal;
    };
    return std::any_of(type.blocks.begin(), type.blocks.end(), has_value);
  }

  /// Nets joined to a rail or ground by what a supply line holds: closed contacts, coils, diodes, small resistors.
  std::vector<bool> powered_nets() const {
    std::vector<bool> powered(machine_.nets().size(), false);
    for (std::size_t i = 0; i < powered.size(); ++i) powered[i] = machine_.nets()[i].kind != NetKind::signal;
    for (bool grown = true; grown;) {
      grown = false;
      for (std::size_t i = 0; i < machine_.parts().size(); ++i)
        if (machine_.parts()[i].fitted) grown = spread(PartId(i), powered) || grown;
    }
    return powered;
  }

  bool spread(PartId id, std::vector<bool>& powered) const {
    const Part& part = machine_.part(id);
    bool grown = false;
    for (const parts::Element& element : parts::elements(*part.type)) {
      const bool passes = element.kind == parts::Template::contact || element.kind == parts::Template::inductor || element.kind == parts::Template::diode ||
                          (element.kind == parts::Template::resistor && part.value_si && *part.value_si <= kSmallOhms);
      const NetId a = machine_.pin(machine_.pin_of(id, element.a)).net, b = machine_.pin(machine_.pin_of(id, element.b)).net;
      if (!passes || !a.known() || !b.known() || powered[a.index()] == powered[b.index()]) continue;
      powered[a.index()] = powered[b.index()] = grown = true;
    }
    return grown;
  }

  void check_supply(PinId pin) {
    const NetId id = machine_.pin(pin).net;
    const double wanted = machine_.pin_type(pin).rail_v;
    if (!id.known()) return add(Grade::error, "wrong-rail", fmt::format("the supply pin {} is connected to nothing", name(pin)), "chips are drawn without their supply pins on many schematics: add it to its rail's net", {pin});
    const Net& net = machine_.net(id);
    const std::string rail = wanted == 0 ? "a rail" : fmt::format("{} V", shown(wanted));
    if (net.kind == NetKind::ground) return add(Grade::error, "wrong-rail", fmt::format("the supply pin {} wants {} and is on the ground {}", name(pin), rail, net_name(id)), "check the pin against the data sheet and the drawing", {pin});
    if (net.kind == NetKind::signal && !power_[id.index()]) return add(Grade::error, "wrong-rail", fmt::format("the supply pin {} wants {} and is on the signal {}", name(pin), rail, net_name(id)), "if that net is a supply, say so with [[supply]] in board.toml", {pin});
    if (net.kind == NetKind::rail && wanted != 0 && std::abs(net.rail_v - wanted) > std::max(kRailSlack, net.tolerance) * std::abs(wanted))
      add(Grade::error, "wrong-rail", fmt::format("the supply pin {} wants {} and is on {} with {} V", name(pin), rail, net_name(id), shown(net.rail_v)), "check the pin against the data sheet and the drawing", {pin});
  }

  void check_ground_pin(PinId pin) {
    const NetId id = machine_.pin(pin).net;
    if (!id.known()) return add(Grade::error, "wrong-rail", fmt::format("the ground pin {} is connected to nothing", name(pin)), "add it to the ground net", {pin});
    const Net& net = machine_.net(id);
    const bool negative_rail = net.kind == NetKind::rail && net.rail_v < 0;
    if (net.kind == NetKind::ground || negative_rail || (net.kind == NetKind::signal && power_[id.index()])) return;
    add(Grade::error, "wrong-rail", fmt::format("the ground pin {} is on {} {}", name(pin), net.kind == NetKind::rail ? "the supply" : "the signal", net_name(id)), "if that net is a ground, name it in grounds of board.toml", {pin});
  }

  void check_open_inputs(const Part& part, const std::vector<PinId>& pins) {
    std::vector<PinId> used, unused;
    for (const PinId pin : pins) (is_used(part, pin) ? used : unused).push_back(pin);
    const bool floats_high = part.family && part.family->floats_high;
    if (!used.empty())
      add(floats_high ? Grade::note : Grade::warning, "floating-input", fmt::format("{} connected to nothing: {}", used.size() == 1 ? "an input is" : "inputs are", names(used)),
          floats_high ? "an open input of this family acts as high" : "an open input of this family drifts: tie it to a level", used);
    if (!unused.empty() && !floats_high)
      add(Grade::note, "floating-input", fmt::format("inputs of an unused section are open: {}", names(unused)), "harmless to the function; in CMOS they should be tied", unused);
  }

  /// False when every output that depends on the input is connected to nothing.
  bool is_used(const Part& part, PinId pin) const {
    const std::uint16_t index = machine_.pin(pin).index;
    bool feeds_any = false;
    for (const parts::Block& block : part.type->blocks)
      for (const std::uint16_t output : outputs_fed(block, index, *part.type)) {
        feeds_any = true;
        if (machine_.pin(PinId(part.first_pin.index() + output)).net.known()) return true;
      }
    return !feeds_any;
  }

  static bool mentions(const parts::Expression& expression, std::uint16_t pin) {
    return std::any_of(expression.nodes.begin(), expression.nodes.end(), [&](const auto& node) { return node.op == parts::Expression::Op::pin && node.pin == pin; });
  }

  static std::vector<std::uint16_t> outputs_fed(const parts::Block& block, std::uint16_t pin, const parts::PartType& type) {
    std::vector<std::uint16_t> outputs, some;
    bool all = false;
    for (const auto& [port, pins] : block.ports)
      for (const std::uint16_t each : pins) {
        if (parts::can_drive(type.pins[each].role)) outputs.push_back(each);
        all = all || each == pin;
      }
    const std::vector<std::uint16_t>& direct = block.kind == parts::Template::gate ? block.port("out") : block.port("q");
    for (const auto& [term, expressions] : block.terms)
      for (std::size_t i = 0; i < expressions.size(); ++i) {
        if (!mentions(expressions[i], pin)) continue;
        if (expressions.size() > 1 && expressions.size() == direct.size()) some.push_back(direct[i]);
        else all = true;
      }
    return all ? outputs : some;
  }

  // ---- nets ----
  void check_net(NetId id) {
    const Net& net = machine_.net(id);
    std::vector<PinId> pins, listeners, pushers;
    for (const PinId pin : net.pins) {
      if (!part_of(pin).fitted) continue;
      pins.push_back(pin);
      if (parts::listens(role(pin)) && !parts::can_drive(role(pin))) listeners.push_back(pin);
      if (role(pin) == PinRole::output) pushers.push_back(pin);
    }
    if (pins.size() == 1) add(Grade::note, "single-pin-net", fmt::format("the net {} has one pin, {}", net_name(id), name(pins.front())), "an unused pin, or a connection missing from the drawing", pins);
    if (net.kind == NetKind::signal && !listeners.empty() && !live_[id.index()])
      add(Grade::warning, "undriven-input", fmt::format("nothing drives the net {}, which {} listens to", net_name(id), names(listeners)), "a missing part or wire; a signal from outside is named by [[source]] in board.toml", listeners);
    const auto other_part = [&](PinId pin) { return machine_.pin(pin).part != machine_.pin(pushers.front()).part; };
    if (std::any_of(pushers.begin(), pushers.end(), other_part))
      add(Grade::error, "two-outputs", fmt::format("outputs that always drive meet on the net {}: {}", net_name(id), names(pushers)), "two fittings drawn at once (mark one fitted = false), or a wrong connection", pushers);
  }

  void check_ground() {
    const auto is_ground = [](const Net& net) { return net.kind == NetKind::ground; };
    if (std::none_of(machine_.nets().begin(), machine_.nets().end(), is_ground))
      add(Grade::error, "no-ground", "no net is the ground", "name it in board.toml: grounds = [\"GND\"]", {});
  }

  const Machine& machine_;
  std::vector<bool> live_;
  std::vector<bool> power_;  ///< joined to a rail or a ground
  std::vector<Finding> findings_;
};

}  // namespace

std::vector<Finding> lint(const Machine& machine) { return Linter(machine).run(); }

}  // namespace halfsplit::board
