#include "observe/fit.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "observe/quantity.h"
#include "observe/vocabulary.h"

namespace halfsplit::observe {
namespace {

/// Where a kind of look can be had; a part only where `legs_of_part` allows it.
Where places_of(Kind kind) noexcept {
  switch (kind) {
    case Kind::probe:
    case Kind::triggered: return kLine;
    case Kind::content: return kLine | kPart | kFunction | kMachine;
    case Kind::volts_dc:
    case Kind::volts_ac:
    case Kind::swing:
    case Kind::ripple:
    case Kind::ohms:
    case Kind::diode: return kLine | kPair | kPart;
    case Kind::continuity: return kPair | kPart;
    case Kind::current: return kLine | kPair | kPart | kMachine;
    case Kind::frequency: return kLine | kPart | kFunction;
    case Kind::duration: return kLine | kFunction;
    case Kind::speed: return kPart | kFunction;
    case Kind::capacitance: return kPair | kPart;
    case Kind::gain:
    case Kind::part_test:
    case Kind::dump:
    case Kind::piggyback:
    case Kind::swap:
    case Kind::elsewhere: return kPart;
    case Kind::memory: return kPart | kMachine;
    case Kind::touch: return kPart | kMachine;
    case Kind::look: return kLine | kPair | kPart | kMachine;
    case Kind::smell: return kPart | kMachine;
    case Kind::function: return kFunction;
    case Kind::count: return kFunction | kMachine;
  }
  return 0;
}

bool between_two_legs(Kind kind) noexcept {
  switch (kind) {
    case Kind::volts_dc:
    case Kind::volts_ac:
    case Kind::swing:
    case Kind::ripple:
    case Kind::ohms:
    case Kind::continuity:
    case Kind::diode:
    case Kind::current: return true;
    default: return false;
  }
}

/// The parts a point touches.
std::vector<board::PartId> parts_at(const Point& point, const board::Machine& machine) {
  std::vector<board::PartId> out;
  if (point.part.known()) out.push_back(point.part);
  for (const board::PinId pin : {point.pin, point.other})
    if (pin.known()) out.push_back(machine.pin(pin).part);
  for (const board::NetId net : {point.net, point.other_net})
    if (net.known())
      for (const board::PinId pin : machine.net(net).pins) out.push_back(machine.pin(pin).part);
  return out;
}

bool in_zone(const Point& point, const board::Machine& machine) {
  const auto parts = parts_at(point, machine);
  for (const board::Zone& zone : machine.zones())
    for (const board::PartId part : parts)
      if (std::find(zone.parts.begin(), zone.parts.end(), part) != zone.parts.end()) return true;
  return false;
}

/// The most that can be read there without having mistyped; generous, since a fault may be the reason.
double most_volts(const Point& point, const board::Machine& machine) {
  if (in_zone(point, machine)) return 40e3;  // tubes
  double rail = 0;
  for (const board::Net& net : machine.nets())
    if (net.kind == board::NetKind::rail) rail = std::max(rail, std::abs(net.rail_v));
  return std::max(60.0, 4 * rail);
}

struct Range { double least, most; };
Range possible(const Point& point, Unit unit, const board::Machine& machine) {
  switch (unit) {
    case Unit::volts: { const double most = most_volts(point, machine); return {-most, most}; }
    case Unit::amps: return {-100, 100};
    case Unit::ohms: return {0, 1e10};
    case Unit::hertz: return {0, 1e10};
    case Unit::seconds: return {0, 1e5};
    case Unit::farads: return {0, 10};
    case Unit::rpm: return {0, 1e5};
    case Unit::percent: return {0, 1000};
    case Unit::bytes: return {0, 1e9};
    case Unit::plain:
    case Unit::none: return {0, 1e9};
  }
  return {0, 0};
}

std::string place_of(const Point& point, const board::Machine& machine) {
  const std::string text = describe(point, machine);
  const board::NetId net = point.net.known() ? point.net : point.pin.known() ? machine.pin(point.pin).net : board::NetId{};
  if (point.at == Point::At::leg && net.known()) return fmt::format("{} on {}", text, machine.net(net).name);
  return text;
}

Status check_range(const Point& point, const ParsedValue& value, const board::Machine& machine) {
  if (!value.value.is_number()) return Done{};
  const auto [least, most] = possible(point, value.value.unit, machine);
  const double low = std::isinf(value.value.from) ? value.value.to : value.value.from, high = std::isinf(value.value.to) ? value.value.from : value.value.to;
  if (low >= least && high <= most) return Done{};
  return usage(fmt::format("{} understood, but that can't be at {}", describe(value.value), place_of(point, machine)),
               fmt::format("{} is possible there; check the unit: 4.31V, 431mV, 4k7", shown_range(least, most, value.value.unit)));
}

Status check_power(const Point& point, const ParsedValue& value, const board::Setup& state, const board::Machine& machine) {
  const bool charge = value.value.unit == Unit::volts && in_zone(point, machine);  // capacitors keep theirs
  if (state.powered() || !needs_power(value.kind) || charge) return Done{};
  return usage(fmt::format("{} at {} understood, but the bench state says: {}", describe(value.value), describe(point, machine), board::describe(state, machine)),
               "type the state power-on first, then the reading again");
}

/// A leg of a chip that lies on the table has no level, and nothing is on with its supply away.
Status check_apart(const Point& point, const ParsedValue& value, const board::Setup& state, const board::Machine& machine) {
  if (!needs_power(value.kind)) return Done{};
  for (const board::Action& action : state.actions()) {
    if (action.kind != board::Action::Kind::pull && action.kind != board::Action::Kind::unplug) continue;
    const std::string now = board::describe(action, machine);
    const bool supply = std::any_of(machine.nets().begin(), machine.nets().end(), [&](const board::Net& net) { return net.source && *net.source == action.part; });
    if (supply) return usage(fmt::format("{} at {} understood, but the bench state says: {}", describe(value.value), describe(point, machine), now), "connect the supply again in the state, then type the reading");
    const bool on_leg = action.kind == board::Action::Kind::pull && point.at == Point::At::leg && point.side == Side::leg && machine.pin(point.pin).part == action.part;
    if (on_leg) return usage(fmt::format("{} at {} understood, but the bench state says: {}", describe(value.value), describe(point, machine), now), fmt::format("where did the tip touch? {0} socket, {0} pad, or the part is in again: state {1}-in", machine.name_of(point.pin), machine.part(action.part).ref));
  }
  return Done{};
}

Status check_part(const Point& point, const ParsedValue& value, const board::Machine& machine) {
  if (point.at != Point::At::part) return Done{};
  const board::Part& part = machine.part(point.part);
  if (!between_two_legs(value.kind) && value.kind != Kind::frequency) return Done{};
  if (part.pin_count == 2 || (part.pin_count < 2 && value.kind == Kind::current)) return Done{};
  const std::string shown = describe(value.value);
  if (part.pin_count < 2) return usage(fmt::format("{} understood, but {} has no two legs to measure", shown, part.ref), "name the pin or the net instead: net A5");
  const std::string first = machine.name_of(part.first_pin), second = machine.name_of(board::PinId(part.first_pin.index() + 1));
  if (value.kind == Kind::ohms || value.kind == Kind::continuity || value.kind == Kind::diode)
    return usage(fmt::format("{} understood, but between which pins of {}?", shown, part.ref), fmt::format("type {}-{} and the value", first, second));
  return usage(fmt::format("{} understood, but at which pin of {}?", shown, part.ref), fmt::format("type {} and the value", first));
}

}  // namespace

bool needs_power_off(Kind kind) noexcept { return kind == Kind::ohms || kind == Kind::continuity || kind == Kind::diode || kind == Kind::capacitance; }

bool needs_power(Kind kind) noexcept {
  switch (kind) {
    case Kind::probe:
    case Kind::triggered:
    case Kind::content:
    case Kind::volts_dc:
    case Kind::volts_ac:
    case Kind::swing:
    case Kind::ripple:
    case Kind::current:
    case Kind::frequency:
    case Kind::duration:
    case Kind::speed:
    case Kind::piggyback:
    case Kind::memory:
    case Kind::function:
    case Kind::count: return true;
    default: return false;
  }
}

Status fits(const Point& point, const ParsedValue& value, const board::Setup& state, const board::Machine& machine) {
  const Where where = where_of(point);
  if ((places_of(value.kind) & where) == 0) {
    std::string hint = fmt::format("for {}: {}", name_of_where(where), words_for(where));
    if (value.kind == Kind::probe && where == kPart) hint = fmt::format("name the pin: {} {}", machine.name_of(machine.part(point.part).first_pin), describe(value.value));
    if (value.kind == Kind::continuity && (where & kLine) != 0) hint = "continuity has two ends: J3.1-J4.2 beep";
    if (where == kPart && (value.kind == Kind::function))
      return usage(fmt::format("'{}' at {} understood, but how do you know?", describe(value.value), describe(point, machine)),
                   fmt::format("type {0} failed (tester), {0} hot, {0} looks burnt, or a pin: {1} low", describe(point, machine), machine.name_of(machine.part(point.part).first_pin)));
    return usage(fmt::format("{} understood as {}, which {} doesn't have", describe(value.value, machine), name_of(value.kind), describe(point, machine)), hint);
  }
  for (const Status& status : {check_part(point, value, machine), check_power(point, value, state, machine), check_apart(point, value, state, machine), check_range(point, value, machine)})
    if (!status) return status;
  if (value.kind == Kind::piggyback && value.value.note.empty())
    return usage(fmt::format("'no change' at {} understood, but after what?", describe(point, machine)), "type: U4 piggyback no change; after a swap, say how the functions are now");
  return Done{};
}

}  // namespace halfsplit::observe
