#include "circuit/meter.h"

#include <cmath>

namespace halfsplit::circuit {
namespace {

constexpr double kRanges[] = {200, 2e3, 20e3, 200e3, 2e6, kMostMeterOhms};
constexpr double kSilent = 1e-5;  ///< share of the meter's current: a change that carries less changes nothing that a meter shows

}  // namespace

Meter::Meter(const board::Machine& machine, Levels levels) : levels_(std::move(levels)), none_(machine.nets().size(), Drive::off) {
  on_.circuit = elaborate(machine);
  off_.circuit = on_.circuit;
  set_levels(on_.circuit, levels_);
  switch_off(off_.circuit);
}
Solver& Meter::on() {
  if (!on_.solver) on_.solver = std::make_unique<Solver>(on_.circuit.network);
  return *on_.solver;
}
Solver& Meter::off() {
  if (!off_.solver) off_.solver = std::make_unique<Solver>(off_.circuit.network);
  return *off_.solver;
}

std::vector<Reading> Meter::volts(const Condition& condition, std::size_t strength, const std::vector<Tips>& tips) {
  std::vector<Reading> out(tips.size());
  Solver& solver = on();
  const Solution it = solver.solve(overlay(on_.circuit, condition, strength, levels_, true));
  if (!it.solved) return out;
  for (std::size_t k = 0; k < tips.size(); ++k) {
    if (!known(on_.circuit, tips[k])) continue;
    const std::vector<double> seen = solver.seen_from(tips[k].plus, tips[k].minus);
    Reading& reading = out[k];
    reading.source_ohm = seen[tips[k].plus] - seen[tips[k].minus];
    const double share = kMeterOhms / (kMeterOhms + std::max(0.0, reading.source_ohm));
    reading.value = share * (it.volts[tips[k].plus] - it.volts[tips[k].minus]);
    reading.spread = share * solver.spread(seen);
    reading.known = true;
  }
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
