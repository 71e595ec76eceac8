#include "circuit/overlay.h"

#include <algorithm>
#include <array>

#include "parts/element.h"

namespace halfsplit::circuit {
namespace {

using board::PinId;
using fault::Fault;
using fault::Site;
using parts::Effect;

using Grades = std::array<double, kStrengths>;
constexpr Grades kLeakOhms{30e3, 3e3, 300};          ///< of a leaky element
constexpr Grades kInputLeakOhms{5e3, 1e3, 220};      ///< of a leaky chip input, to ground
constexpr Grades kContactOhms{5, 150, 20e3};         ///< a worn or corroded contact
constexpr Grades kResistorDrift{1.25, 2.2, 12};       ///< resistors drift upwards
constexpr Grades kZenerDrift{0.93, 0.85, 1.08};
constexpr Grades kSupplyDrift{0.93, 0.85, 1.08};
constexpr Grades kOverVolts{1.15, 1.4, 1.8};
constexpr Grades kSag{0.94, 0.85, 0.7};
constexpr Grades kDeadShare{0, 0.3, 0.7};            ///< "no or low output"
constexpr Grades kGainShare{0.2, 0.05, 0.01};
constexpr Grades kTurned{0.5, 0.8, 1.6};             ///< a trimmer set wrong
constexpr double kShortSiemens = 2, kChipShortSiemens = 0.4, kStuckSiemens = 0.1, kClipSiemens = 20, kForceOhms = 10, kForceHighV = 5;

bool parts_joint(const Fault& f) { return f.site.kind == Site::Kind::joint || f.site.kind == Site::Kind::track || f.site.kind == Site::Kind::drawing; }

class Builder {
 public:
  Builder(const Circuit& circuit, std::size_t strength, bool powered) : c_(circuit), m_(*circuit.machine), strength_(strength), powered_(powered) {}

  void levels(const Levels& now, const Levels& set) {
    if (!powered_) return;
    for (std::size_t n = 0; n < now.size(); ++n) {
      if (now[n] == set[n]) continue;
      for (const PinId pin : m_.nets()[n].pins)
        if (parts::can_drive(m_.pin_type(pin).role)) drive(pin, drive_of(m_.pin_type(pin).role, now[n]));
    }
  }

  void add(const Fault& f) {
    if (parts_joint(f)) return open_joint(f.site.pin);
    if (f.site.kind == Site::Kind::bridge) return join(node(f.site.pin), node(f.site.other), kShortSiemens);
    if (f.site.kind == Site::Kind::outside || !f.site.part.known()) return;
    const bool chip = m_.part(f.site.part).family != nullptr;
    switch (f.effect) {
      case Effect::open: return open(f);
      case Effect::shorted: return shorted(f);
      case Effect::drags: return f.pin.known() && chip ? leak(f.pin) : each(f, [&](DeviceIndex d) { beside(d, 1 / kLeakOhms[strength_]); });
      case Effect::resistive: return each(f, [&](DeviceIndex d) { if (closed(d)) set(d, Resistor{1 / kContactOhms[strength_], 0.3}); });
      case Effect::drifted: return drifted(f);
      case Effect::dead: return dead(f);
      case Effect::weak: return weak(f);
      case Effect::drives_wrong: return wrong(f);
      case Effect::stuck_low:
      case Effect::stuck_high: return stuck(f);
      case Effect::no_drive:
      case Effect::intermittent: return;
      case Effect::ignores_input: return turned(f);
      default: return;
    }
  }

  void act(const board::Action& action) {
    using Kind = board::Action::Kind;
    switch (action.kind) {
      case Kind::pull: return pull(action.part);
      case Kind::lift: return open_joint(action.pin);
      case Kind::unplug:
        for (const board::PartId part : m_.plug_contacts(action.part)) pull(part);
        return;
      case Kind::bridge: return join(node(action.pin), node(action.other), kClipSiemens);
      case Kind::hold: return toggle(action.part);
      case Kind::force_low: return force(action.pin, 0);
      case Kind::force_high: return force(action.pin, kForceHighV);
      case Kind::power_off:
      case Kind::open:
      case Kind::fit: return;  // like parts: the predictor moves their faults
    }
  }

  Patch patch;

 private:
  const Device& device(DeviceIndex d) const { return c_.network.devices[d]; }
  void set(DeviceIndex d, Law law) {
    if (!powered_ && std::holds_alternative<Nothing>(device(d).law) && std::holds_alternative<Source>(law)) return;
    patch.changes.push_back({d, std::move(law)});
  }
  std::optional<NodeIndex> node(PinId pin) const { return pin.known() ? c_.pin_node[pin.index()] : std::nullopt; }
  void join(std::optional<NodeIndex> a, std::optional<NodeIndex> b, double siemens) {
    if (a && b && *a != *b) patch.added.push_back(between(*a, *b, Resistor{siemens, 0.3}));
  }
  void beside(DeviceIndex d, double siemens) { join(device(d).node[0], device(d).node[device(d).terminals == 3 ? 2 : 1], siemens); }
  bool closed(DeviceIndex d) const {
    const auto* r = std::get_if<Resistor>(&device(d).law);
    return !r || r->siemens > 1e-9;
  }

  /// The elements the fault sits on: one by its index, or all of the part.
  template <class Do>
  void each(const Fault& f, Do act_on) {
    const bool one = at_element(f);
    for (const DeviceIndex d : c_.devices_of[f.site.part.index()]) {
      if (one && device(d).element != f.element) continue;
      if (std::holds_alternative<Stage>(device(d).law) || std::holds_alternative<Load>(device(d).law)) continue;
      act_on(d);
    }
  }
  bool at_element(const Fault& f) const {
    if (f.site.kind == Site::Kind::contact) return true;
    const board::Part& part = m_.part(f.site.part);
    for (const parts::Mode& mode : m_.library().modes(part.type->rate_class, fault::technology_of(part)))
      if (mode.id == f.mode) return mode.at == parts::ModeAt::each_element;
    return false;
  }

  void open_joint(PinId pin) {
    if (const auto joint = c_.joint[pin.index()]) return set(*joint, Resistor{kOpenSiemens, 0});
    const parts::PinRole role = m_.pin_type(pin).role;
    if (role != parts::PinRole::supply && role != parts::PinRole::ground) return;
    for (const DeviceIndex d : c_.devices_of[m_.pin(pin).part.index()]) {  // a chip without its supply
      const Device& it = device(d);
      if (std::holds_alternative<Load>(it.law) && (it.pin[0] == pin || it.pin[1] == pin || role == parts::PinRole::ground)) set(d, Nothing{});
      if (const auto* stage = std::get_if<Stage>(&it.law); stage && (it.pin[1] == pin || role == parts::PinRole::ground)) {
        Stage asleep = *stage;
        asleep.drive = Drive::off;
        asleep.pull_up_ohm = 0;
        set(d, asleep);
      }
    }
  }
  void open(const Fault& f) {
    if (c_.devices_of[f.site.part.index()].empty() || parts::elements(*m_.part(f.site.part).type).empty()) {
      if (f.pin.known()) return open_joint(f.pin);  // a leg of a chip or of a plain connector
    }
    each(f, [&](DeviceIndex d) { set(d, Nothing{}); });
  }
  void shorted(const Fault& f) {
    if (f.pin.known() && m_.pin_type(f.pin).role == parts::PinRole::supply && m_.part(f.site.part).family)
      return join(node(f.pin), c_.low_node[f.site.part.index()], kChipShortSiemens);
    each(f, [&](DeviceIndex d) {
      const Device& it = device(d);
      if (std::holds_alternative<Regulator>(it.law)) return set(d, Nothing{}), join(it.node[0], it.node[1], kShortSiemens);
      beside(d, kShortSiemens);
    });
  }
  void leak(PinId pin) { join(node(pin), c_.low_node[m_.pin(pin).part.index()], 1 / kInputLeakOhms[strength_]); }

  void drifted(const Fault& f) {
    const bool trimmer = m_.part(f.site.part).type->rate_class == "trimmer";
    const bool capacitor = m_.part(f.site.part).type->rate_class == "electrolytic" || m_.part(f.site.part).type->rate_class == "ceramic" || m_.part(f.site.part).type->rate_class == "tantalum";
    bool first = true;
    for (const DeviceIndex d : c_.devices_of[f.site.part.index()]) {
      if (at_element(f) && device(d).element && *device(d).element != f.element) continue;
      Law law = device(d).law;
      if (auto* r = std::get_if<Resistor>(&law)) {
        if (capacitor) continue;  // its value is no matter of direct current
        r->siemens /= trimmer ? (first ? kTurned[strength_] : 2 - kTurned[strength_]) : kResistorDrift[strength_];
        first = false;
      } else if (auto* z = std::get_if<Junction>(&law)) {
        z->breakdown_v *= kZenerDrift[strength_];
      } else if (auto* s = std::get_if<Source>(&law)) {
        s->volts *= kSupplyDrift[strength_];
      } else if (auto* g = std::get_if<Regulator>(&law)) {
        g->set_v *= kSupplyDrift[strength_];
      } else {
        continue;
      }
      set(d, law);
    }
  }
  void dead(const Fault& f) {
    for (const DeviceIndex d : c_.devices_of[f.site.part.index()]) {
      Law law = device(d).law;
      if (auto* g = std::get_if<Regulator>(&law)) {
        g->set_v *= kDeadShare[strength_];
        set(d, strength_ == 0 ? Law(Nothing{}) : law);
      } else if (std::holds_alternative<Source>(law)) {
        set(d, Nothing{});
      } else if (std::holds_alternative<Amplifier>(law)) {
        set(d, Nothing{});
      } else if (const auto* coil = std::get_if<Resistor>(&law); coil && coil->siemens < kLinkSiemens && coil->siemens > 1e-6) {
        set(d, Nothing{});
      }
    }
  }
  void weak(const Fault& f) {
    for (const DeviceIndex d : c_.devices_of[f.site.part.index()]) {
      Law law = device(d).law;
      if (auto* q = std::get_if<Bipolar>(&law)) q->gain *= kGainShare[strength_];
      else if (auto* channel = std::get_if<Channel>(&law)) channel->factor *= kGainShare[strength_];
      else if (auto* s = std::get_if<Source>(&law)) s->volts *= kSag[strength_];
      else continue;
      set(d, law);
    }
  }
  void wrong(const Fault& f) {
    for (const DeviceIndex d : c_.devices_of[f.site.part.index()]) {
      Law law = device(d).law;
      if (auto* s = std::get_if<Source>(&law)) s->volts *= kOverVolts[strength_];
      else if (auto* g = std::get_if<Regulator>(&law)) g->set_v *= kSupplyDrift[strength_];
      else continue;
      set(d, law);
    }
  }
  void stuck(const Fault& f) {
    if (!f.pin.known()) return;
    const Drive to = f.effect == Effect::stuck_low ? Drive::low : Drive::high;
    if (c_.stage[f.pin.index()]) return drive(f.pin, to);
    for (const DeviceIndex d : c_.devices_of[f.site.part.index()])  // an amplifier's output
      if (std::holds_alternative<Amplifier>(device(d).law) && device(d).pin[2] == f.pin) {
        set(d, Nothing{});
        join(node(f.pin), to == Drive::low ? device(d).node[4] : device(d).node[3], kStuckSiemens);
      }
  }
  void turned(const Fault& f) {
    if (!m_.part(f.site.part).family) toggle(f.site.part);  // a switch or relay that stays in its other place
  }
  void drive(PinId pin, Drive to) {
    if (!powered_ || !c_.stage[pin.index()]) return;
    Stage law = std::get<Stage>(device(*c_.stage[pin.index()]).law);
    law.drive = to;
    set(*c_.stage[pin.index()], law);
  }
  void pull(board::PartId part) {
    for (std::size_t i = 0; i < m_.part(part).pin_count; ++i)
      if (const PinId pin = m_.pin_of(part, i); m_.pin(pin).net.known()) open_joint(pin);
  }
  /// Contacts that a hand moves change places.
  void toggle(board::PartId part) {
    std::uint16_t element = 0;
    for (const parts::Block& block : m_.part(part).type->blocks) {
      if (!parts::is_element(block.kind)) continue;
      const std::size_t count = std::max(block.port("a").size(), block.port("b").size());
      for (std::size_t i = 0; i < count; ++i, ++element) {
        if (block.kind != parts::Template::contact) continue;
        const bool moved = block.word("actuated").value_or("false") == "true" || several_contacts(part);
        for (const DeviceIndex d : c_.devices_of[part.index()])
          if (moved && device(d).element == element) set(d, Resistor{closed(d) ? kOpenSiemens : kLinkSiemens, 0.5});
      }
    }
  }
  bool several_contacts(board::PartId part) const {
    std::size_t count = 0;
    for (const parts::Block& block : m_.part(part).type->blocks) count += block.kind == parts::Template::contact;
    return count > 1;
  }
  void force(PinId pin, double volts) {
    if (const auto at = node(pin)) patch.added.push_back(between(*at, kGround, Source{volts, kForceOhms, 0, 0.1}));
  }

  const Circuit& c_;
  const board::Machine& m_;
  std::size_t strength_;
  bool powered_;
};

}  // namespace

void set_levels(Circuit& circuit, const Levels& levels) {
  for (std::size_t i = 0; i < circuit.stage.size(); ++i) {
    const PinId pin(i);
    const board::NetId net = circuit.machine->pin(pin).net;
    if (!circuit.stage[i] || !net.known()) continue;
    std::get<Stage>(circuit.network.devices[*circuit.stage[i]].law).drive = drive_of(circuit.machine->pin_type(pin).role, levels[net.index()]);
  }
}

void switch_off(Circuit& circuit) {
  for (const DeviceIndex d : circuit.supplies) circuit.network.devices[d].law = Nothing{};
  set_levels(circuit, Levels(circuit.net_node.size(), Drive::off));
}

Patch overlay(const Circuit& circuit, const Condition& condition, std::size_t strength, const Levels& levels_set, bool powered) {
  Builder builder(circuit, strength, powered);
  if (condition.levels) builder.levels(*condition.levels, levels_set);
  for (const Fault* f : condition.faults) builder.add(*f);
  if (condition.setup)
    for (const board::Action& action : condition.setup->actions()) builder.act(action);
  return std::move(builder.patch);
}

bool has_strengths(const Fault& f) {
  switch (f.effect) {
    case Effect::drags:
    case Effect::resistive:
    case Effect::drifted:
    case Effect::weak:
    case Effect::dead:
    case Effect::drives_wrong: return !parts_joint(f);
    default: return false;
  }
}

bool is_modelled(const Fault& f) { return f.effect != Effect::unlisted && f.site.kind != Site::Kind::outside; }

bool acts_on_circuit(const Fault& f) {
  if (parts_joint(f) || f.site.kind == Site::Kind::bridge || f.site.kind == Site::Kind::contact) return true;
  switch (f.effect) {
    case Effect::open:
    case Effect::shorted:
    case Effect::drags:
    case Effect::resistive:
    case Effect::drifted:
    case Effect::weak:
    case Effect::dead:
    case Effect::drives_wrong:
    case Effect::stuck_low:
    case Effect::stuck_high:
    case Effect::ignores_input: return true;
    default: return false;
  }
}

}  // namespace halfsplit::circuit
