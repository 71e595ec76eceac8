#include "netlist/sweeps.h"

#include <algorithm>

#include "parts/stand_in.h"

namespace halfsplit::netlist {
namespace {

bool has_output(const parts::PartType& type) {
  return std::any_of(type.pins.begin(), type.pins.end(), [](const parts::Pin& pin) { return parts::can_drive(pin.role); });
}

/// Selects come from decoders, then gates; buses and their buffers last.
int order_of(const board::Part& part, bool active_low) {
  const bool logic = part.type->rate_class == "logic", decodes = part.type->function_group.find("decoder") != std::string::npos, gate = part.type->function_group.find("gate") != std::string::npos;
  return decodes && active_low ? 0 : gate ? 1 : logic ? 2 : 3;
}

}  // namespace

std::vector<board::PartId> sweep_order(const board::Machine& machine, board::PinId pin, const std::set<board::PartId>& done) {
  std::vector<board::PartId> out;
  for (std::size_t i = 0; i < machine.parts().size(); ++i) {
    const board::PartId id(i);
    const board::Part& part = machine.part(id);
    const bool chip = part.fitted && !part.surroundings && part.family != nullptr && !parts::stands_in(*part.type);
    if (chip && id != machine.pin(pin).part && done.count(id) == 0 && has_output(*part.type)) out.push_back(id);
  }
  const bool active_low = machine.pin_type(pin).active_low;
  std::stable_sort(out.begin(), out.end(), [&](board::PartId a, board::PartId b) { return order_of(machine.part(a), active_low) < order_of(machine.part(b), active_low); });
  return out;
}

}  // namespace halfsplit::netlist
