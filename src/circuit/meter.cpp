#include "circuit/meter.h"

#include <cmath>

namespace halfsplit::circuit {
namespace {

constexpr double kRanges[] = {200, 2e3, 20e3, 200e3, 2e6, kMostMeterOhms};
constexpr double kSoftOhms = 2e4;     ///< a source resistance at which the meter's load begins to count
constexpr double kSilent = 1e-5;  ///< share of the meter's current: a change that carries less changes nothing that a meter shows

}  // namespace

Meter::Meter(const board::Machine& machine, Levels levels, double stiff_v)
    : levels_(std::move(levels)), none_(machine.nets().size(), Drive::off), stiff_v_(stiff_v) {
  on_.circuit = elaborate(machine);
  off_.circuit = on_.circuit;
  set_levels(on_.circuit, levels_);
  switch_off(off_.circuit);
  islands_ = Islands::of(on_.circuit);
}
Solver& Meter::on() {
  if (!on_.solver) on_.solver = std::make_unique<Solver>(on_.circuit.network);
  return *on_.solver;
}
Solver& Meter::off() {
  if (!off_.solver) off_.solver = std::make_unique<Solver>(off_.circuit.network);
  return *off_.solver;
}

/// A stiff point is loaded by calculation, a soft one by a solution with the meter in it: behind a diode the source resistance changes with the load.
Reading Meter::volts_at(const Patch& patch, const Solution& point, Tips tips, std::vector<double>& seen) {
  Reading out;
  if (!point.solved || !known(on_.circuit, tips)) return out;
  seen = on().seen_from(tips.plus, tips.minus);
  out.source_ohm = seen[tips.plus] - seen[tips.minus];
  const double share = kMeterOhms / (kMeterOhms + std::max(0.0, out.source_ohm));
  out.value = share * (point.volts[tips.plus] - point.volts[tips.minus]);
  out.spread = share * on().spread(seen);
  out.known = true;
  if (out.source_ohm < kSoftOhms) return out;
  Patch with = patch;
  with.added.push_back(between(tips.plus, tips.minus, Resistor{1 / kMeterOhms, 0}));
  const Solution loaded = on().solve(with);
  out.known = loaded.solved;
  if (!loaded.solved) return out;
  out.value = loaded.volts[tips.plus] - loaded.volts[tips.minus];
  out.spread = on().spread(on().seen_from(tips.plus, tips.minus));
  on().solve(patch);
  return out;
}
const Meter::Seen& Meter::healthy_volts(Tips tips) {
  const auto [at, fresh] = healthy_volts_.try_emplace(tips);
  if (fresh) at->second.reading = volts_at({}, on().solve({}), tips, at->second.from);
  return at->second;
}

/// Whether the patch may move the point: it acts in its island, on what feeds the rails, or strongly enough to move a rail.
bool Meter::moves(const Patch& patch, Tips tips, const Seen& healthy) {
  if (patch.empty()) return false;
  if (stiff_v_ == 0) return true;
  for (const Solver::Influence& each : on().influences(patch, healthy.from)) {
    bool elsewhere = false;
    for (std::size_t i = 0; i < each.device.terminals; ++i) {
      const NodeIndex node = each.device.node[i];
      const std::uint32_t island = islands_.of_node[node];
      if (islands_.feeding(node) || (island != 0 && (island == islands_.of_node[tips.plus] || island == islands_.of_node[tips.minus]))) return true;
      elsewhere = elsewhere || island != 0;
    }
    const bool unsaid = std::isinf(each.volts);
    if (unsaid ? !elsewhere : each.volts > stiff_v_) return true;
  }
  return false;
}

std::vector<bool> Meter::reached(const Condition& condition, std::size_t strength, const std::vector<Tips>& tips) {
  const Patch patch = overlay(on_.circuit, condition, strength, levels_, true);
  std::vector<bool> out;
  for (const Tips& each : tips) out.push_back(!patch.empty() && moves(patch, each, healthy_volts(each)));
  return out;
}

std::vector<Reading> Meter::volts(const Condition& condition, std::size_t strength, const std::vector<Tips>& tips) {
  std::vector<Reading> out(tips.size());
  const Patch patch = overlay(on_.circuit, condition, strength, levels_, true);
  std::vector<std::size_t> moved;
  for (std::size_t k = 0; k < tips.size(); ++k) {
    const Seen& healthy = healthy_volts(tips[k]);
    out[k] = healthy.reading;
    if (healthy.reading.known && moves(patch, tips[k], healthy)) moved.push_back(k);
  }
  if (moved.empty()) return out;
  const Solution it = on().solve(patch);
  std::vector<double> seen;
  for (const std::size_t k : moved) out[k] = volts_at(patch, it, tips[k], seen);
  return out;
}

Meter::Probed Meter::probe_ohms(const Patch& patch, Tips tips) {
  Probed out;
  if (!off().solve(patch).solved) return out;
  const std::vector<double> still = off().seen_from(tips.plus, tips.minus);
  const double quiet_ohms = still[tips.plus] - still[tips.minus];
  for (const double range : kRanges) {
    if (quiet_ohms > range && range < kMostMeterOhms) continue;
    const double own = range * (kOhmsVolts - kOhmsFullScale) / kOhmsFullScale;
    Patch with = patch;
    with.added.push_back(between(tips.plus, tips.minus, Source{kOhmsVolts, own, 0, 0}));
    const Solution it = off().solve(with);
    if (!it.solved) return out;
    const double volts = it.volts[tips.plus] - it.volts[tips.minus];
    out.volts = it.volts;
    out.amps = (kOhmsVolts - volts) / own;
    out.reading.own_ohm = own;
    out.reading.known = true;
    out.reading.value = out.amps > 0 ? volts / out.amps : kMostMeterOhms * 10;
    out.reading.over = out.reading.value > kMostMeterOhms;
    if (out.reading.value > range && range < kMostMeterOhms) continue;
    const double slope = own * kOhmsVolts / ((kOhmsVolts - volts) * (kOhmsVolts - volts));
    if (!out.reading.over) out.reading.spread = slope * off().spread(off().seen_from(tips.plus, tips.minus));
    return out;
  }
  return out;
}

Meter::Probed Meter::probe_diode(const Patch& patch, Tips tips) {
  Probed out;
  Patch with = patch;
  with.added.push_back(between(tips.plus, tips.minus, Source{kDiodeVolts, 100, kDiodeAmps, 0}));
  const Solution it = off().solve(with);
  if (!it.solved) return out;
  out.volts = it.volts;
  out.amps = kDiodeAmps;
  out.reading.known = true;
  out.reading.value = it.volts[tips.plus] - it.volts[tips.minus];
  out.reading.over = out.reading.value > kDiodeMost;
  out.reading.spread = off().spread(off().seen_from(tips.plus, tips.minus));
  return out;
}

/// The healthy reading where the condition's changes carry nothing of the meter's current in the healthy circuit.
template <class Probe>
Reading Meter::undisturbed_or(std::map<Tips, Probed>& healthy, const Condition& condition, std::size_t strength, Tips tips, Probe probe) {
  if (!known(off_.circuit, tips)) return {};
  const auto [at, fresh] = healthy.try_emplace(tips);
  if (fresh) at->second = probe(Patch{});
  const Patch patch = overlay(off_.circuit, condition, strength, none_, false);
  const Probed& base = at->second;
  if (patch.empty()) return base.reading;
  if (base.reading.known && off().disturbance(patch, base.volts) < kSilent * base.amps) return base.reading;
  return probe(patch).reading;
}

Reading Meter::ohms(const Condition& condition, std::size_t strength, Tips tips) {
  return undisturbed_or(healthy_ohms_, condition, strength, tips, [&](const Patch& patch) { return probe_ohms(patch, tips); });
}
Reading Meter::diode(const Condition& condition, std::size_t strength, Tips tips) {
  return undisturbed_or(healthy_diode_, condition, strength, tips, [&](const Patch& patch) { return probe_diode(patch, tips); });
}

Reading Meter::current(const Condition& condition, std::size_t strength, board::PartId supply) {
  Reading out;
  const Solution it = on().solve(overlay(on_.circuit, condition, strength, levels_, true));
  if (!it.solved) return out;
  double variance = 0;
  for (const DeviceIndex d : on_.circuit.supplies) {
    const Device& device = on_.circuit.network.devices[d];
    if (device.part != supply) continue;
    out.known = true;
    out.value += -on().current_into(d);
    const double spread = on().spread(on().seen_from(device.node[0])) / std::get<Source>(device.law).ohms;
    variance += spread * spread;
  }
  out.spread = std::sqrt(variance);
  return out;
}

}  // namespace halfsplit::circuit
