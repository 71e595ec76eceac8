#include "trial/stale.h"

#include <algorithm>
#include <set>

namespace halfsplit::trial {
namespace {

using board::FunctionSpec;
using board::NetSpec;
using board::UnitSpec;

/// Nets of a unit that carry signals: supplies and grounds are seldom drawn wrongly for long.
std::vector<NetSpec*> signal_nets(UnitSpec& unit) {
  std::set<std::string> power(unit.grounds.begin(), unit.grounds.end());
  for (const auto& supply : unit.supplies) power.insert(supply.net);
  std::vector<NetSpec*> out;
  for (auto& net : unit.nets)
    if (power.count(net.name) == 0) out.push_back(&net);
  return out;
}

void move_one(const std::vector<NetSpec*>& nets, Random& random, std::vector<std::string>& changes) {
  std::size_t pins = 0;
  for (const auto* net : nets) pins += net->pins.size();
  std::size_t at = random.below(pins);
  NetSpec* from = nullptr;
  for (auto* net : nets) {
    if (at < net->pins.size()) { from = net; break; }
    at -= net->pins.size();
  }
  NetSpec* to = nets[random.below(nets.size())];
  if (from == nullptr || to == from) return;
  const board::PinRef pin = from->pins[at];
  from->pins.erase(from->pins.begin() + static_cast<std::ptrdiff_t>(at));
  to->pins.push_back(pin);
  changes.push_back(pin.part + "." + pin.pin + ": " + to->name + " for " + from->name);
}

}  // namespace

StaleDrawing stale(board::MachineSpec spec, const Staleness& staleness, std::uint64_t seed) {
  StaleDrawing out{std::move(spec), {}};
  Random random(seed);
  for (auto& unit : out.spec.units) {
    const auto nets = signal_nets(unit);
    std::size_t pins = 0;
    for (const auto* net : nets) pins += net->pins.size();
    if (nets.size() < 2 || pins == 0) continue;
    const double wanted = staleness.moved * static_cast<double>(pins);
    std::size_t count = static_cast<std::size_t>(wanted);
    count += random.chance(wanted - static_cast<double>(count)) ? 1 : 0;
    for (std::size_t i = 0; i < count; ++i) move_one(nets, random, out.changes);
    auto& all = unit.nets;  // a net whose last pin has moved away is no longer drawn
    all.erase(std::remove_if(all.begin(), all.end(), [](const NetSpec& net) { return net.pins.empty(); }), all.end());
  }
  std::vector<FunctionSpec*> several;
  for (auto& function : out.spec.functions)
    if (function.needs.size() > 1) several.push_back(&function);
  for (std::size_t i = 0; i < staleness.dropped && !several.empty(); ++i) {
    FunctionSpec& function = *several[random.below(several.size())];
    const std::size_t at = random.below(function.needs.size());
    out.changes.push_back(function.id + " forgets " + function.needs[at]);
    function.needs.erase(function.needs.begin() + static_cast<std::ptrdiff_t>(at));
    if (at < function.needs_at.size()) function.needs_at.erase(function.needs_at.begin() + static_cast<std::ptrdiff_t>(at));
    several.clear();
    for (auto& one : out.spec.functions)
      if (one.needs.size() > 1) several.push_back(&one);
  }
  return out;
}

}  // namespace halfsplit::trial
