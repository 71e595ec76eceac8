// What SpecEditor looks up and the small changes it is made of; the amendments themselves are in amend.cpp.
#include "board/spec_editor.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "board/machine_data.h"
#include "board/pin_lookup.h"
#include "parts/match.h"
#include "board/part_line.h"

namespace halfsplit::board {

namespace {
std::string unit_name(const MachineSpec& spec, std::size_t unit) { return spec.units[unit].name.empty() ? "main" : spec.units[unit].name; }
std::string hint_for(std::string_view word, const std::vector<std::string>& known) {
  const auto near = did_you_mean(word, known);
  return near ? fmt::format("did you mean {}?", *near) : "";
}
}  // namespace

SpecEditor::SpecEditor(MachineSpec spec, const parts::Library& library) : spec_(std::move(spec)), library_(library), types_(spec_.units.size()) {
  for (std::size_t unit = 0; unit < spec_.units.size(); ++unit) write_pins_by_number(unit);
}

UnitTypes& SpecEditor::types(std::size_t unit) {
  Errors errors;  // build() reports what is wrong with a unit's own types
  if (!types_[unit]) types_[unit] = std::make_unique<UnitTypes>(spec_.units[unit], library_, errors);
  return *types_[unit];
}

void SpecEditor::write_pins_by_number(std::size_t unit_index) {
  UnitSpec& unit = spec_.units[unit_index];
  const auto net_pins = pins_in_nets(unit);
  std::map<std::string, const parts::PartType*, std::less<>> by_ref;
  for (PartSpec& part : unit.parts) {
    const auto pins = net_pins.find(part.ref);
    const auto type = types(unit_index).of(part, pins == net_pins.end() ? std::vector<std::string>{} : pins->second);
    if (!type.ok()) continue;
    by_ref.emplace(part.ref, *type);
    const auto bare = library_.type(part.type);
    if (!part.pin_numbers.empty() || !bare.ok() || !(*bare)->numbered) continue;
    for (const parts::Pin& pin : (*type)->pins) part.pin_numbers.push_back(pin.number);
  }
  for (NetSpec& net : unit.nets)
    for (PinRef& pin : net.pins) {
      const auto type = by_ref.find(pin.part);
      if (type == by_ref.end()) continue;
      const auto index = find_type_pin(*type->second, pin.pin, pin.part);
      if (index.ok()) pin.pin = type->second->pins[*index].number;
    }
}

Result<SpecEditor::PartAt> SpecEditor::find_part(std::string_view text) const {
  text = trim(text);
  std::vector<PartAt> exact, loose;
  std::vector<std::string> known, found;
  const auto look = [&](const PartSpec& part, PartAt at) {
    const std::string full = at.unit == kNoUnit ? part.ref : unit_name(spec_, at.unit) + "/" + part.ref;
    known.push_back(part.ref);
    if (part.ref == text || full == text) exact.push_back(at);
    else if (lower(part.ref) == lower(text) || lower(full) == lower(text)) loose.push_back(at);
    else return;
    found.push_back(full);
  };
  for (std::size_t unit = 0; unit < spec_.units.size(); ++unit)
    for (std::size_t i = 0; i < spec_.units[unit].parts.size(); ++i) look(spec_.units[unit].parts[i], {unit, i});
  for (std::size_t i = 0; i < spec_.surroundings.size(); ++i) look(spec_.surroundings[i], {kNoUnit, i});
  const std::vector<PartAt>& best = exact.empty() ? loose : exact;
  if (best.size() == 1) return best.front();
  if (best.empty()) return not_found(fmt::format("there is no part {}", in_quotes(text)), hint_for(text, known));
  return usage(fmt::format("{} is the name of {} parts", in_quotes(text), best.size()), "say which: " + join(found, ", "));
}

bool SpecEditor::is_part(std::string_view text) const { return find_part(text).ok(); }

Result<const parts::PartType*> SpecEditor::type_of(const PartAt& at) {
  if (at.unit == kNoUnit) return usage(fmt::format("{} has no pins", part(at).ref));
  const auto pins = pins_in_nets(spec_.units[at.unit]);
  const auto own = pins.find(part(at).ref);
  return types(at.unit).of(part(at), own == pins.end() ? std::vector<std::string>{} : own->second);
}

Result<SpecEditor::PinAt> SpecEditor::find_pin(std::string_view text) {
  const auto splits = pin_splits(text);
  for (const auto& [part_text, pin_text] : splits) {
    const Result<PartAt> at = find_part(part_text);
    if (!at.ok() && at.error().code == ErrorCode::not_found) continue;
    if (!at.ok()) return at.error();
    const Result<const parts::PartType*> type = type_of(*at);
    if (!type.ok()) return type.error();
    const Result<std::uint16_t> pin = find_type_pin(**type, pin_text, part(*at).ref);
    if (!pin.ok()) return pin.error();
    return PinAt{*at, (*type)->pins[*pin].number};
  }
  if (splits.empty()) return usage(fmt::format("{} is no pin", in_quotes(text)), "write reference, dot and pin, as in U5.8");
  return find_part(splits.front().first).error();
}

Result<SpecEditor::NetAt> SpecEditor::find_net(std::string_view name, std::size_t unit) const {
  using Fits = bool (*)(std::string_view, std::string_view);
  const Fits by_strictness[] = {[](std::string_view net, std::string_view text) { return net == text; },
                                [](std::string_view net, std::string_view text) { return lower(net) == lower(text); },
                                [](std::string_view net, std::string_view text) { return lower(net_tail(net)) == lower(text); },
                                [](std::string_view net, std::string_view text) { return lower(net_bar(net)) == lower(net_bar(text)); }};
  for (const Fits fits : by_strictness) {
    std::vector<NetAt> own, others;
    std::vector<std::string> found;
    for (std::size_t u = 0; u < spec_.units.size(); ++u)
      for (std::size_t i = 0; i < spec_.units[u].nets.size(); ++i) {
        const std::string& net = spec_.units[u].nets[i].name;
        const std::string full = unit_name(spec_, u) + "/" + net;
        if (!fits(net, name) && !fits(full, name)) continue;
        (u == unit ? own : others).push_back({u, i});
        found.push_back(full);
      }
    const std::vector<NetAt>& best = own.empty() ? others : own;
    if (best.size() == 1) return best.front();
    if (best.size() > 1) return usage(fmt::format("{} is the name of {} nets", in_quotes(name), best.size()), "say which: " + join(found, ", "));
  }
  std::vector<std::string> known;
  for (const UnitSpec& each : spec_.units)
    for (const NetSpec& net : each.nets) { known.push_back(net.name); known.push_back(net_tail(net.name)); }
  return not_found(fmt::format("there is no net {}", in_quotes(name)), hint_for(name, known));
}

namespace {
/// How a net of unit `net_unit` names a part of unit `unit`.
std::string ref_from(const MachineSpec& spec, std::size_t net_unit, std::size_t unit, const std::string& ref) {
  return net_unit == unit ? ref : unit_name(spec, unit) + "/" + ref;
}
}  // namespace

std::optional<SpecEditor::NetAt> SpecEditor::net_of(const PinAt& pin) const {
  const std::string& ref = spec_.units[pin.part.unit].parts[pin.part.index].ref;
  for (std::size_t u = 0; u < spec_.units.size(); ++u) {
    const std::string name = ref_from(spec_, u, pin.part.unit, ref);
    for (std::size_t i = 0; i < spec_.units[u].nets.size(); ++i)
      for (const PinRef& each : spec_.units[u].nets[i].pins)
        if (each.part == name && each.pin == pin.number) return NetAt{u, i};
  }
  return std::nullopt;
}

std::string SpecEditor::shown(const PinAt& pin) { return part(pin.part).ref + "." + pin.number; }

Result<SpecEditor::NetAt> SpecEditor::net_at(std::string_view pin_or_net, std::size_t unit) {
  const Result<PinAt> pin = find_pin(pin_or_net);
  if (pin.ok()) {
    if (const auto net = net_of(*pin)) return *net;
    const NetAt made = new_net(pin->part.unit, "wire at " + shown(*pin));
    attach(*pin, made);
    return made;
  }
  const Result<NetAt> net = find_net(pin_or_net, unit);
  if (net.ok()) return *net;
  return pin_or_net.find('.') != std::string_view::npos ? pin.error() : net.error();
}

void SpecEditor::detach(const PinAt& pin) {
  const std::optional<NetAt> at = net_of(pin);
  if (!at) return;
  const std::string name = ref_from(spec_, at->unit, pin.part.unit, part(pin.part).ref);
  std::vector<PinRef>& pins = net(*at).pins;
  pins.erase(std::remove_if(pins.begin(), pins.end(), [&](const PinRef& each) { return each.part == name && each.pin == pin.number; }), pins.end());
}

void SpecEditor::attach(const PinAt& pin, const NetAt& at) {
  net(at).pins.push_back({ref_from(spec_, at.unit, pin.part.unit, part(pin.part).ref), pin.number, part(pin.part).place});
}

SpecEditor::NetAt SpecEditor::new_net(std::size_t unit, const std::string& name) {
  std::vector<NetSpec>& nets = spec_.units[unit].nets;
  const auto taken = [&](const std::string& wanted) { return std::any_of(nets.begin(), nets.end(), [&](const NetSpec& net) { return net.name == wanted; }); };
  std::string free = name;
  for (int i = 2; taken(free); ++i) free = fmt::format("{} ({})", name, i);
  NetSpec made;
  made.name = free;
  nets.push_back(std::move(made));
  return {unit, nets.size() - 1};
}

std::string SpecEditor::free_ref(std::size_t unit, const std::string& head) const {
  const auto taken = [&](const std::string& ref) {
    const auto cable = [&](const MateSpec& mate) { return lower(mate.cable) == lower(ref); };
    return is_part(ref) || is_part(unit_name(spec_, unit) + "/" + ref) || std::any_of(spec_.mates.begin(), spec_.mates.end(), cable);
  };
  int number = 1;
  while (taken(head + std::to_string(number))) ++number;
  return head + std::to_string(number);
}

SpecEditor::PartAt SpecEditor::new_part(std::size_t unit, PartSpec part) {
  spec_.units[unit].parts.push_back(std::move(part));
  return {unit, spec_.units[unit].parts.size() - 1};
}

Result<PartSpec> SpecEditor::described(const std::string& ref, const std::string& description, std::size_t pins) const {
  PartSpec out;
  out.ref = ref;
  const ShortPart words = parse_short_part(description);
  if (library_.type(words.type).ok()) {
    out.type = words.type;
    out.family = words.family;
    out.value = words.value;
    return out;
  }
  parts::PartDescription asked;
  asked.reference = ref;
  asked.value = description;
  asked.pin_count = pins;
  const auto match = parts::match_type(library_, asked);
  if (!match)
    return not_found(fmt::format("no part type with {} pins is known by {}", pins, in_quotes(description)), "name its type, as in: add R90 resistor 470 Q3.e U9.2");
  out.type = match->type;
  out.family = match->family;
  out.value = match->value;
  return out;
}

}  // namespace halfsplit::board
