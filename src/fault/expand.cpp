#include "fault/expand.h"

#include "parts/element.h"

namespace halfsplit::fault {
namespace {

using parts::Block;
using parts::ModeAt;
using parts::PartType;
using parts::PinRole;
using parts::Template;

template <class Wanted>
std::vector<ModePlace> pins_where(const PartType& type, Wanted wanted) {
  std::vector<ModePlace> out;
  for (std::uint16_t i = 0; i < type.pins.size(); ++i)
    if (wanted(type.pins[i].role)) out.push_back({i, {}, 0, 0, false});
  return out;
}

/// Memory bits are seen at the pin that drives them, so separate outputs stand for the data port.
const std::vector<std::uint16_t>& data_port(const Block& block) {
  const std::vector<std::uint16_t>& data = block.port("data");
  return data.empty() && block.kind == Template::memory ? block.port("out") : data;
}

/// Pins of the data or address port over all blocks, each pin once.
std::vector<ModePlace> port_places(const PartType& type, bool data) {
  std::vector<ModePlace> out;
  std::vector<bool> seen(type.pins.size());
  for (const Block& block : type.blocks) {
    const std::vector<std::uint16_t>& port = data ? data_port(block) : block.port("address");
    for (std::uint16_t i = 0; i < port.size(); ++i) {
      if (!seen[port[i]]) out.push_back({port[i], {}, 0, i, false});
      seen[port[i]] = true;
    }
  }
  return out;
}

/// Chips and plain connectors have no elements: what opens an element (corrosion, a bent contact) opens one of their legs, the rest has no place.
std::vector<ModePlace> element_places(const PartType& type, parts::Effect effect) {
  const std::vector<parts::Element> all = parts::elements(type);
  if (all.empty() && effect == parts::Effect::open) return pins_where(type, [](PinRole role) { return role != PinRole::not_connected; });
  std::vector<ModePlace> out;
  for (std::uint16_t i = 0; i < all.size(); ++i) out.push_back({all[i].a, all[i].b, i, 0, all[i].kind == Template::contact});
  return out;
}

}  // namespace

std::vector<ModePlace> places_of(const parts::Mode& mode, const PartType& type) {
  const std::vector<ModePlace> whole{ModePlace{}};
  if (mode.effect == parts::Effect::none || mode.effect == parts::Effect::drifted) return whole;
  switch (mode.at) {
    case ModeAt::part: return whole;
    case ModeAt::each_output: return pins_where(type, [](PinRole role) { return parts::can_drive(role); });
    case ModeAt::each_input: return pins_where(type, [](PinRole role) { return parts::listens(role) && !parts::can_drive(role); });
    case ModeAt::each_supply: return pins_where(type, [](PinRole role) { return role == PinRole::supply; });
    case ModeAt::each_data: return port_places(type, true);
    case ModeAt::each_address: return port_places(type, false);
    case ModeAt::each_element: return element_places(type, mode.effect);
  }
  return whole;
}

}  // namespace halfsplit::fault
