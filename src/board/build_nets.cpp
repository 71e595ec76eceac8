// Nets of a machine: pins joined to them, names made unique, rails and grounds.
#include <fmt/core.h>

#include <cmath>

#include "base/text.h"
#include "board/assembly.h"
#include "board/pin_lookup.h"

namespace halfsplit::board {

void Assembly::add_nets(std::size_t unit) {
  for (const NetSpec& spec : spec_.units[unit].nets) {
    const NetId net(data_->nets.size());
    if (!unit_nets_[unit].emplace(spec.name, net).second) {
      fail(fmt::format("net {} is there twice", in_quotes(spec.name)), spec.place, "write all its pins in one place");
      continue;
    }
    Net made;
    made.name = spec.name;
    data_->nets.push_back(std::move(made));
    data_->net_origins.push_back({UnitId(unit), spec.name});
    for (const PinRef& ref : spec.pins) add_pin(ref, unit, net);
  }
}

std::optional<PartId> Assembly::part_of(const PinRef& ref, std::size_t unit) {
  std::string local = ref.part;
  if (const std::size_t slash = ref.part.find('/'); slash != std::string::npos) {
    const std::string wanted = ref.part.substr(0, slash);
    local = ref.part.substr(slash + 1);
    for (unit = 0; unit < data_->units.size() && data_->units[unit] != wanted;) ++unit;
    if (unit == data_->units.size()) {
      fail(fmt::format("there is no unit {}", in_quotes(wanted)), ref.place, "units: " + join(data_->units, ", "));
      return std::nullopt;
    }
  }
  const auto found = unit_parts_[unit].find(local);
  if (found != unit_parts_[unit].end()) return found->second;
  std::vector<std::string> known;
  for (const PartSpec& part : spec_.units[unit].parts) known.push_back(part.ref);
  const auto near = did_you_mean(local, known);
  fail(fmt::format("there is no part {}", in_quotes(ref.part)), ref.place, near ? fmt::format("did you mean {}?", *near) : "every part of a net is in parts.toml");
  return std::nullopt;
}

void Assembly::add_pin(const PinRef& ref, std::size_t unit, NetId net) {
  const std::optional<PartId> id = part_of(ref, unit);
  if (!id || unreadable(*id)) return;
  const Result<std::uint16_t> index = find_type_pin(*part(*id).type, ref.pin, ref.part);
  if (!index.ok()) return fail(index.error(), ref.place);
  const PinId pin(part(*id).first_pin.index() + *index);
  Pin& joint = data_->pins[pin.index()];
  if (joint.net.known()) {
    const std::string first = pin_places_[pin.index()].text();
    const std::string where = first.empty() ? "" : "first named at " + first;
    if (joint.net == net) return fail(fmt::format("{} is named twice on net {}", pin_name(pin), in_quotes(data_->nets[net.index()].name)), ref.place, where);
    return fail(fmt::format("{} is on two nets, {} and {}", pin_name(pin), in_quotes(data_->nets[joint.net.index()].name), in_quotes(data_->nets[net.index()].name)), ref.place, where);
  }
  joint.net = net;
  pin_places_[pin.index()] = ref.place;
  data_->nets[net.index()].pins.push_back(pin);
}

void Assembly::name_nets() {
  std::unordered_map<std::string, int> count;
  for (const NetOrigin& origin : data_->net_origins) ++count[origin.local_name];
  for (std::size_t i = 0; i < data_->nets.size(); ++i) {
    const NetOrigin& origin = data_->net_origins[i];
    if (count[origin.local_name] > 1) data_->nets[i].name = data_->units[origin.unit.index()] + "/" + origin.local_name;
  }
}

std::optional<NetId> Assembly::net_in(std::size_t unit, const std::string& name, const Place& place) {
  if (const auto found = unit_nets_[unit].find(name); found != unit_nets_[unit].end()) return found->second;
  std::vector<std::string> known;
  for (const NetSpec& net : spec_.units[unit].nets) known.push_back(net.name);
  const auto near = did_you_mean(name, known);
  fail(fmt::format("there is no net {}", in_quotes(name)), place, near ? fmt::format("did you mean {}?", in_quotes(*near)) : "it must be in nets.toml");
  return std::nullopt;
}

void Assembly::add_power(std::size_t unit) {
  const UnitSpec& spec = spec_.units[unit];
  for (std::size_t i = 0; i < spec.grounds.size(); ++i)
    if (const auto net = net_in(unit, spec.grounds[i], place_of(spec.grounds_at, i, spec.place))) data_->nets[net->index()].kind = NetKind::ground;
  for (const SupplySpec& supply : spec.supplies) add_supply(supply, unit);
  for (std::size_t i = 0; i < spec.sources.size(); ++i) {
    const auto net = net_in(unit, spec.sources[i].first, place_of(spec.sources_at, i, spec.place));
    if (net) data_->nets[net->index()].fed = spec.sources[i].second;
  }
}

void Assembly::add_supply(const SupplySpec& supply, std::size_t unit) {
  const auto id = net_in(unit, supply.net, supply.place);
  if (!id) return;
  Net& net = data_->nets[id->index()];
  if (net.kind != NetKind::signal)
    return fail(fmt::format("net {} is {} already", in_quotes(supply.net), net.kind == NetKind::ground ? "a ground" : "a supply"), supply.place);
  if (supply.volts == 0 || !std::isfinite(supply.volts)) return fail(fmt::format("supply {} has no volts", in_quotes(supply.net)), supply.place);
  net.kind = NetKind::rail;
  net.rail_v = supply.volts;
  net.tolerance = supply.tolerance;
  if (supply.from.empty()) return;
  const auto own = unit_parts_[unit].find(supply.from);
  const Result<PartId> from = own == unit_parts_[unit].end() ? find_part(*data_, supply.from) : Result<PartId>(own->second);
  if (from.ok()) net.source = *from;
  else fail(from.error(), supply.place);
}

}  // namespace halfsplit::board
