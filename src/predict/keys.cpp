#include "predict/keys.h"

#include <algorithm>

#include "parts/element.h"

namespace halfsplit::predict {

using logic::Look;

KeyLooks key_looks(const board::Machine& machine, board::FunctionId function) {
  KeyLooks out;
  for (const board::Need& need : machine.function(function).needs)
    if (need.pin.known()) out.needs.push_back({Look::Kind::leg, need.pin.index(), 0});
  const auto& all = machine.functions();
  const auto runs = std::find_if(all.begin(), all.end(), [](const board::Function& one) { return one.kind == "runs" && !one.held; });
  if (runs != all.end()) out.runs = Look{Look::Kind::function, static_cast<std::uint32_t>(runs - all.begin()), 0};
  return out;
}

std::uint8_t judge_key(std::span<const std::uint8_t> seen, std::span<const std::uint8_t> healthy, std::uint8_t runs) {
  if ((runs & logic::kRight) == 0) return logic::kDead;
  bool can_work = true, must_work = runs == logic::kRight;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    can_work = can_work && (seen[i] & healthy[i]) != 0;
    must_work = must_work && seen[i] == healthy[i];
  }
  if (must_work) return logic::kRight;
  return can_work ? logic::kRight | logic::kDead : logic::kDead;
}

/// Through the diode or resistor that only this key has.
board::NetId KeyLines::line_at(board::PinId pin) const {
  const board::NetId net = machine_.pin(pin).net;
  if (!net.known() || machine_.net(net).pins.size() != 2) return net;
  const board::PinId other = machine_.net(net).pins[machine_.net(net).pins[0] == pin ? 1 : 0];
  const board::PartId part = machine_.pin(other).part;
  const std::uint16_t here = machine_.pin(other).index;
  for (const parts::Element& element : parts::elements(*machine_.part(part).type))
    if (element.a == here || element.b == here) return machine_.pin(machine_.pin_of(part, element.a == here ? element.b : element.a)).net;
  return net;
}

bool KeyLines::take(board::NetId net) {
  if (!net.known() || machine_.net(net).kind != board::NetKind::signal || tried_[net.index()]) return false;
  tried_[net.index()] = true;
  return true;
}

bool KeyLines::brings_new(const board::Function& function) {
  bool found = false;
  for (const board::Need& need : function.needs)
    if (need.pin.known()) found = take(machine_.pin(need.pin).net) || found;
  for (std::size_t i = 0; i < machine_.part(*function.held).pin_count; ++i) found = take(line_at(machine_.pin_of(*function.held, i))) || found;
  return found;
}

}  // namespace halfsplit::predict
