// Units, parts and surroundings of a machine: types resolved, values read, references made short.
#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "board/assembly.h"
#include "board/part_line.h"
#include "board/pin_lookup.h"
#include "board/unit_types.h"
#include "board/value_kind.h"
#include "parts/match.h"

namespace halfsplit::board {

namespace {

constexpr const char* kOnlyUnit = "main";
/// Stands in for a type that couldn't be had, so that what leans on the part gives no errors of its own.
const parts::PartType kUnreadable{};

}  // namespace

bool Assembly::unreadable(PartId id) const { return part(id).type == &kUnreadable; }

void Assembly::add_units() {
  if (spec_.units.empty()) fail("a machine has at least one unit", Place{});
  for (const UnitSpec& unit : spec_.units) {
    std::string name = unit.name.empty() && spec_.units.size() == 1 ? kOnlyUnit : unit.name;
    if (name.empty() || std::find(data_->units.begin(), data_->units.end(), name) != data_->units.end())
      fail(name.empty() ? "a unit of several has no name" : fmt::format("unit {} is there twice", name), unit.place);
    data_->units.push_back(std::move(name));
  }
  unit_parts_.resize(spec_.units.size());
  unit_nets_.resize(spec_.units.size());
}

void Assembly::add_parts(std::size_t unit) {
  const UnitSpec& spec = spec_.units[unit];
  const UnitTypes types(spec, *library_, errors_);
  const auto net_pins = pins_in_nets(spec);
  static const std::vector<std::string> none;
  for (const PartSpec& part : spec.parts) {
    if (!is_reference(part.ref)) fail(fmt::format("{} can't be a reference", in_quotes(part.ref)), part.place, "no blanks and none of . / ~ , @ =");
    if (const auto twin = unit_parts_[unit].find(part.ref); twin != unit_parts_[unit].end()) {
      fail(fmt::format("{} is there twice", part.ref), part.place, "every part has a reference of its own");
      continue;
    }
    const auto pins = net_pins.find(part.ref);
    const Result<const parts::PartType*> type = types.of(part, pins == net_pins.end() ? none : pins->second);
    if (!type.ok()) errors_.add(type.error());
    unit_parts_[unit].emplace(part.ref, PartId(data_->parts.size()));
    add_part(part, type.ok() ? **type : kUnreadable, UnitId(unit));
  }
}

void Assembly::add_surroundings() {
  for (const PartSpec& part : spec_.surroundings) {
    const auto same_ref = [&](const Part& other) { return other.surroundings && other.ref == part.ref; };
    if (std::any_of(data_->parts.begin(), data_->parts.end(), same_ref)) fail(fmt::format("{} is there twice", part.ref), part.place);
    UnitSpec none;
    Errors ignored;
    const Result<const parts::PartType*> type = UnitTypes(none, *library_, ignored).of(part, {"1"});
    if (!type.ok()) errors_.add(type.error());
    add_part(part, type.ok() ? **type : kUnreadable, UnitId());
    data_->parts.back().surroundings = true;
  }
}

const parts::Family* Assembly::family_of(const PartSpec& spec, const parts::PartType& type) {
  if (spec.family.empty()) return type.family.empty() ? nullptr : library_->family(type.family);
  if (const parts::Family* family = library_->family(spec.family)) return family;
  std::vector<std::string> known;
  for (const parts::Family& family : library_->families()) known.push_back(family.id);
  const auto near = did_you_mean(spec.family, known);
  fail(fmt::format("{}: there is no logic family {}", spec.ref, in_quotes(spec.family)), spec.place,
       near ? fmt::format("did you mean {}?", *near) : "a value in capitals is written { type = ..., value = ... }; families: " + join(known, ", "));
  return nullptr;
}

void Assembly::add_part(const PartSpec& spec, const parts::PartType& type, UnitId unit) {
  Part part;
  part.ref = part.local_ref = spec.ref;
  part.unit = unit;
  part.type = &type;
  part.family = family_of(spec, type);
  part.value = spec.value;
  if (const auto kind = value_kind(type); kind && !spec.value.empty()) {
    part.value_si = parts::parse_value(spec.value, *kind);
    if (part.value_si) part.value = parts::value_text(*part.value_si, *kind);
  }
  part.fitted = spec.fitted;
  part.socketed = spec.socketed;
  part.at = spec.at;
  part.first_pin = PinId(data_->pins.size());
  part.pin_count = static_cast<std::uint16_t>(type.pins.size());
  for (std::uint16_t i = 0; i < part.pin_count; ++i) data_->pins.push_back({PartId(data_->parts.size()), i, {}, {}});
  pin_places_.resize(data_->pins.size());
  data_->parts.push_back(std::move(part));
  place_pins(spec, PartId(data_->parts.size() - 1));
}

void Assembly::place_pins(const PartSpec& spec, PartId id) {
  if (unreadable(id)) return;
  for (const auto& [number, at] : spec.pin_at) {
    const Result<std::uint16_t> pin = find_type_pin(*part(id).type, number, spec.ref);
    if (pin.ok()) data_->pins[part(id).first_pin.index() + *pin].at = at;
    else fail(pin.error(), spec.place);
  }
}

void Assembly::name_parts() {
  std::unordered_map<std::string, int> count;
  for (const Part& part : data_->parts) ++count[part.local_ref];
  for (Part& part : data_->parts)
    if (part.unit.known() && count[part.local_ref] > 1) part.ref = data_->units[part.unit.index()] + "/" + part.local_ref;
}

}  // namespace halfsplit::board
