#include <algorithm>
#include <numeric>

#include "base/text.h"
#include "fault/expand.h"
#include "fault/fault.h"
#include "parts/element.h"
#include "parts/stand_in.h"

namespace halfsplit::fault {
namespace {

using board::Machine;
using board::NetKind;
using board::PartId;
using board::PinId;
using parts::Effect;

/// Share of the time an intermittent fault is there, nothing else being known: as often as not.
constexpr double kIntermittentDuty = 0.5;

std::string spare_name(const board::Part& part, std::uint8_t number) {
  return (number > 1 ? "spare " + std::to_string(number) : std::string("spare")) + " for " + part.ref;
}

class Builder {
 public:
  explicit Builder(const Machine& machine) : machine_(machine) {}

  void add_part(PartId id) {
    const board::Part& part = machine_.part(id);
    const bool stand_in = parts::stands_in(*part.type);
    const SiteId site = open_site(stand_in ? "whatever drives " + part.value : part.ref);
    site_parts.back() = id;
    const std::vector<parts::Mode>& modes = machine_.library().modes(part.type->rate_class, technology_of(part));
    for (const parts::Mode& mode : modes)
      for (const ModePlace& place : places_of(mode, *part.type)) add_mode(site, id, mode, place);
    add_unlisted(site, id, modes);
    if (!part.unit.known() || stand_in) return;  // surroundings, plug contacts, cables, unknown drivers: nothing of theirs is soldered here
    for (const PinId pin : connected_pins(id)) add_at_pin(site, id, pin, Site::Kind::joint, kJointOpen, "open-path");
    for (const PinId pin : connected_pins(id))
      if (machine_.net(machine_.pin(pin).net).kind == NetKind::signal) add_at_pin(site, id, pin, Site::Kind::drawing, kDrawingWrong, "drawing");
  }

  /// The number counts the spares of one place.
  void add_spare(PartId id, std::uint8_t number) {
    spare_ = number;
    const board::Part& part = machine_.part(id);
    const SiteId site = open_site(spare_name(part, number));
    const std::vector<parts::Mode>& modes = machine_.library().modes(part.type->rate_class, technology_of(part));
    for (const parts::Mode& mode : modes)
      for (const ModePlace& place : places_of(mode, *part.type)) add_mode(site, id, mode, place);
    add_unlisted(site, id, modes);
    spare_ = 0;
  }

  void add_outside() {
    Fault fault;
    fault.site.kind = Site::Kind::outside;
    fault.mode = kOutside;
    add(open_site("outside the model"), std::move(fault));
  }

  std::vector<Fault> faults;
  std::vector<SiteId> site_of;
  std::vector<std::string> site_names;
  std::vector<std::optional<PartId>> site_parts;

 private:
  SiteId open_site(std::string name) {
    site_names.push_back(std::move(name));
    site_parts.emplace_back();
    return SiteId(site_names.size() - 1);
  }

  void add(SiteId site, Fault fault) {
    fault.site.spare = spare_;
    faults.push_back(std::move(fault));
    site_of.push_back(site);
  }

  std::vector<PinId> connected_pins(PartId id) const {
    std::vector<PinId> out;
    for (std::size_t i = 0; i < machine_.part(id).pin_count; ++i) {
      const PinId pin = machine_.pin_of(id, i);
      if (machine_.pin(pin).net.known()) out.push_back(pin);
    }
    return out;
  }

  bool connected(PartId id, std::optional<std::uint16_t> pin) const { return !pin || machine_.pin(machine_.pin_of(id, *pin)).net.known(); }

  void add_mode(SiteId site, PartId id, const parts::Mode& mode, const ModePlace& place) {
    if (!connected(id, place.pin) || !connected(id, place.other)) return;
    Fault fault;
    fault.site = {Site::Kind::part, id, {}, {}};
    fault.mode = mode.id;
    fault.effect = mode.effect;
    fault.evidence_group = mode.evidence_group;
    if (place.pin && !place.other) fault.pin = machine_.pin_of(id, *place.pin);
    if (place.contact) fault.site = {Site::Kind::contact, id, machine_.pin_of(id, *place.pin), machine_.pin_of(id, *place.other)};
    fault.element = place.element;
    fault.bit = place.bit;
    if (mode.effect == Effect::intermittent) fault.duty = kIntermittentDuty;
    add(site, std::move(fault));
  }

  void add_unlisted(SiteId site, PartId id, const std::vector<parts::Mode>& modes) {
    Fault fault;
    fault.site = {Site::Kind::part, id, {}, {}};
    fault.mode = kUnlisted;
    fault.effect = Effect::unlisted;
    const bool can_be_dead = std::any_of(modes.begin(), modes.end(), [](const parts::Mode& mode) { return mode.evidence_group == "dead-chip"; });
    fault.evidence_group = can_be_dead ? "dead-chip" : modes.front().evidence_group;
    add(site, std::move(fault));
  }

  void add_at_pin(SiteId site, PartId id, PinId pin, Site::Kind kind, const char* mode, const char* group) {
    Fault fault;
    fault.site = {kind, id, pin, {}};
    fault.mode = mode;
    fault.effect = Effect::open;
    fault.pin = pin;
    fault.evidence_group = group;
    add(site, std::move(fault));
  }

  const Machine& machine_;
  std::uint8_t spare_ = 0;
};

}  // namespace

std::string_view technology_of(const board::Part& part) {
  if (!part.type->technology.empty()) return part.type->technology;
  return part.family ? std::string_view(part.family->technology) : std::string_view();
}

Catalogue Catalogue::build(const Machine& machine, const std::vector<PartId>& spares) {
  std::vector<PartId> order;
  for (std::size_t i = 0; i < machine.parts().size(); ++i)
    if (machine.parts()[i].fitted) order.emplace_back(i);
  std::stable_sort(order.begin(), order.end(), [&](PartId a, PartId b) { return natural_less(machine.part(a).ref, machine.part(b).ref); });
  Builder builder(machine);
  for (const PartId part : order) builder.add_part(part);
  builder.add_outside();
  for (std::size_t i = 0; i < spares.size(); ++i) {
    const auto here = spares.begin() + static_cast<std::ptrdiff_t>(i);
    builder.add_spare(spares[i], static_cast<std::uint8_t>(std::count(spares.begin(), here, spares[i]) + 1));
  }
  Catalogue made = of(std::move(builder.faults), std::move(builder.site_of), std::move(builder.site_names));
  made.site_parts_ = std::move(builder.site_parts);
  return made;
}

std::optional<SiteId> Catalogue::site_of_part(board::PartId part) const {
  for (std::size_t i = 0; i < site_parts_.size(); ++i)
    if (site_parts_[i] == part) return SiteId(i);
  return std::nullopt;
}

namespace {

const parts::Mode* mode_of(const Fault& fault, const Machine& machine) {
  const board::Part& part = machine.part(fault.site.part);
  for (const parts::Mode& mode : machine.library().modes(part.type->rate_class, technology_of(part)))
    if (mode.id == fault.mode) return &mode;
  return nullptr;
}

bool at_element(const Fault& fault, const Machine& machine) {
  const parts::Mode* mode = mode_of(fault, machine);
  return mode && mode->at == parts::ModeAt::each_element;
}

std::string mode_title(const Fault& fault, const Machine& machine) {
  if (const parts::Mode* mode = mode_of(fault, machine)) return mode->title;
  std::string text = fault.mode;
  std::replace(text.begin(), text.end(), '-', ' ');
  return text;
}

/// An element is named where the part has several.
std::string place_text(const Fault& fault, const Machine& machine) {
  const board::Part& part = machine.part(fault.site.part);
  const std::vector<parts::Element> elements = parts::elements(*part.type);
  if (elements.size() > 1 && fault.element < elements.size() && !fault.pin.known() && at_element(fault, machine)) {
    const parts::Element& it = elements[fault.element];
    return " between " + machine.long_name_of(machine.pin_of(fault.site.part, it.a)) + " and " + machine.long_name_of(machine.pin_of(fault.site.part, it.b));
  }
  return fault.pin.known() ? " at " + machine.long_name_of(fault.pin) : std::string();
}

}  // namespace

std::string Catalogue::describe(FaultId id, const Machine& machine) const {
  const Fault& it = fault(id);
  switch (it.site.kind) {
    case Site::Kind::outside: return "something the model does not hold";
    case Site::Kind::joint: return machine.long_name_of(it.site.pin) + ": joint open";
    case Site::Kind::drawing: return machine.long_name_of(it.site.pin) + ": goes elsewhere than the drawing says";
    case Site::Kind::track: return machine.long_name_of(it.site.pin) + ": track broken";
    case Site::Kind::bridge: return machine.long_name_of(it.site.pin) + ": bridged to " + machine.long_name_of(it.site.other);
    case Site::Kind::part:
    case Site::Kind::contact:
    case Site::Kind::misfit: break;
  }
  const board::Part& part = machine.part(it.site.part);
  if (parts::stands_in(*part.type)) return "whatever drives " + part.value + ": " + (it.effect == Effect::unlisted ? "misbehaves in a way the library doesn't list" : mode_title(it, machine));
  const std::string head = (it.site.spare > 0 ? spare_name(part, it.site.spare) : part.ref) + ": ";
  if (it.effect == Effect::unlisted) return head + "misbehaves in a way the library doesn't list";
  return head + mode_title(it, machine) + place_text(it, machine);
}

}  // namespace halfsplit::fault
