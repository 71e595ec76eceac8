#include "circuit/law.h"

#include <algorithm>
#include <cmath>

namespace halfsplit::circuit {
namespace {

double critical_volts(double saturation_a, double scale_v) { return scale_v * std::log(scale_v / (1.4142 * saturation_a)); }
double junction_volts(double current, double saturation_a, double scale_v, double series_ohm) { return scale_v * std::log1p(current / saturation_a) + current * series_ohm; }

/// Where to expand a junction that stood at `from` and is now told `to`.
double expansion_point(double from, double to, double saturation_a, double scale_v, double series_ohm) {
  if (std::abs(to - from) < 0.1 * scale_v) return to;
  const double critical = critical_volts(saturation_a, scale_v);
  if (std::max(from, to) < critical) return to;
  const Branch last = junction_current(from, saturation_a, scale_v, series_ohm);
  const double predicted = last.current + last.slope * (to - from);
  double at = predicted > 0 ? junction_volts(predicted, saturation_a, scale_v, series_ohm) : std::min(to, critical - scale_v);
  if (to > critical) at = std::max(at, critical);
  if (to > from) at = std::min(at, to);
  return at;
}

/// A junction between two terminals, added to the response.
class Adder {
 public:
  Adder(const std::array<double, kMostTerminals>& volts, Response& out) : v_(volts), out_(out) {}
  double across(std::size_t a, std::size_t b) const { return v_[a] - v_[b]; }
  /// Current from terminal a to terminal b through the device, depending on v_a - v_b.
  void branch(std::size_t a, std::size_t b, double current, double slope) {
    out_.current[a] += current;
    out_.current[b] -= current;
    out_.slope[a][a] += slope;
    out_.slope[a][b] -= slope;
    out_.slope[b][a] -= slope;
    out_.slope[b][b] += slope;
  }
  /// The same, depending on the volts of terminal `on` (not on a and b alone).
  void depends(std::size_t a, std::size_t b, std::size_t on, double slope) {
    out_.slope[a][on] += slope;
    out_.slope[b][on] -= slope;
  }
  void flow(std::size_t a, std::size_t b, double current) {
    out_.current[a] += current;
    out_.current[b] -= current;
  }
  Branch limited_junction(double told, double& at, bool free, double saturation_a, double scale_v, double series_ohm) {
    const double point = free ? told : expansion_point(at, told, saturation_a, scale_v, series_ohm);
    at = point;
    Branch it = junction_current(point, saturation_a, scale_v, series_ohm);
    it.current += it.slope * (told - point);
    if (std::abs(told - point) > 1e-6) out_.settled = false;
    return it;
  }

 private:
  const std::array<double, kMostTerminals>& v_;
  Response& out_;
};

void law_of(const Resistor& r, Adder& add, Memory&, bool) {
  add.branch(0, 1, r.siemens * add.across(0, 1), r.siemens);
}
void law_of(const Source& s, Adder& add, Memory&, bool) {
  const double wanted = (s.volts - add.across(0, 1)) / s.ohms;
  if (s.limit_a == 0) return add.branch(0, 1, -wanted, 1 / s.ohms);
  const Branch given = soft_limit(wanted, s.limit_a);
  add.branch(0, 1, -given.current, given.slope / s.ohms);
}
void law_of(const Junction& j, Adder& add, Memory& memory, bool free) {
  const double v = add.across(0, 1);
  const Branch forward = add.limited_junction(v, memory.at[0], free, j.saturation_a, j.scale_v, j.series_ohm);
  add.branch(0, 1, forward.current, forward.slope);
  if (j.breakdown_v == 0) return;
  const Branch backward = add.limited_junction(-v - j.breakdown_v, memory.at[1], free, kBreakdownSaturation, kThermalVolts, j.breakdown_ohm);
  add.branch(1, 0, backward.current, backward.slope);
}
void law_of(const Bipolar& q, Adder& add, Memory& memory, bool free) {
  enum { collector, base, emitter };
  const double sign = q.sign;
  const Branch be = add.limited_junction(sign * add.across(base, emitter), memory.at[0], free, q.saturation_a, kThermalVolts, 0);
  const Branch bc = add.limited_junction(sign * add.across(base, collector), memory.at[1], free, q.saturation_a, kThermalVolts, 0);
  add.branch(base, emitter, sign * be.current / q.gain, be.slope / q.gain);
  add.branch(base, collector, sign * bc.current / q.reverse_gain, bc.slope / q.reverse_gain);
  add.flow(collector, emitter, sign * (be.current - bc.current));
  add.depends(collector, emitter, base, be.slope - bc.slope);
  add.depends(collector, emitter, emitter, -be.slope);
  add.depends(collector, emitter, collector, bc.slope);
}
void law_of(const Channel& m, Adder& add, Memory& memory, bool free) {
  enum { drain, gate, source };
  const double sign = m.sign;
  const Branch near = soft_plus(sign * add.across(gate, source) - m.threshold_v, kGateWidth);
  const Branch far = soft_plus(sign * add.across(gate, drain) - m.threshold_v, kGateWidth);
  add.flow(drain, source, sign * m.factor / 2 * (near.current * near.current - far.current * far.current));
  const double up = m.factor * near.current * near.slope, down = m.factor * far.current * far.slope;
  add.depends(drain, source, gate, up - down);
  add.depends(drain, source, source, -up);
  add.depends(drain, source, drain, down);
  const Branch body = add.limited_junction(sign * add.across(source, drain), memory.at[0], free, kBodySaturation, kThermalVolts, kBodySeriesOhm);
  add.branch(source, drain, sign * body.current, body.slope);
}

/// Smallest of two, smooth, with the slopes of both arguments.
struct Smaller { double value = 0, of_first = 0, of_second = 0; };
Smaller soft_smaller(double first, double second, double width) {
  const Branch excess = soft_plus(first - second, width);
  return {first - excess.current, 1 - excess.slope, excess.slope};
}

void law_of(const Regulator& r, Adder& add, Memory& memory, bool free) {
  enum { in, out, ground };
  const double sign = r.sign, supply = sign * add.across(in, ground), told = sign * add.across(out, ground);
  double load = told;
  const double edge = r.set_v - r.output_ohm * r.limit_a;
  if (!free) {  // across the steep zone: to the place in it that the predicted current says
    const bool was_below = memory.at[0] < edge, was_above = memory.at[0] > r.set_v + 0.001;
    if ((was_below && told > r.set_v) || (was_above && told < edge)) load = was_below ? r.set_v : edge;
  }
  memory.at[0] = load;
  const double drop = supply - load;
  const Branch room = soft_plus(drop - kLeastPowerDrop, 0.1);
  const double power_drop = kLeastPowerDrop + room.current, power = r.power_w / power_drop;
  const Smaller first = soft_smaller((r.set_v - load) / r.output_ohm, (drop - r.dropout_v) / kDropoutOhm, kRegulatorWidth);
  const Smaller second = soft_smaller(r.limit_a, power, kRegulatorWidth);
  const Smaller both = soft_smaller(first.value, second.value, kRegulatorWidth);
  const Branch given = soft_plus(both.value, kRegulatorWidth);
  const double by_power = second.of_second * -power / power_drop * room.slope;  // per volt of drop
  const double by_drop = both.of_first * first.of_second / kDropoutOhm + both.of_second * by_power;
  const double by_load = given.slope * (-both.of_first * first.of_first / r.output_ohm - by_drop), by_supply = given.slope * by_drop;
  add.flow(in, out, sign * (given.current + by_load * (told - load)));
  add.depends(in, out, out, by_load);
  add.depends(in, out, in, by_supply);
  add.depends(in, out, ground, -by_load - by_supply);
  const Branch awake = soft_step(supply, 1, 3);
  add.branch(in, ground, sign * r.quiescent_a * awake.current, r.quiescent_a * awake.slope);
  const Branch back = add.limited_junction(told - supply, memory.at[1], free, kSupplyClampSaturation, kThermalVolts, kSupplyClampSeriesOhm);
  add.branch(out, in, sign * back.current, back.slope);
}
void law_of(const Load& l, Adder& add, Memory& memory, bool free) {
  const double v = add.across(0, 1);
  const Branch on = soft_step(v, l.on_from_v, l.on_at_v);
  add.branch(0, 1, l.amps * v / l.supply_v * on.current + v / l.idle_ohm, l.amps / l.supply_v * (on.current + v * on.slope) + 1 / l.idle_ohm);
  const Branch back = add.limited_junction(-v, memory.at[0], free, kSupplyClampSaturation, kThermalVolts, kSupplyClampSeriesOhm);
  add.branch(1, 0, back.current, back.slope);
}

/// What the output and the pull-up put out of the pin, by pin and supply volts over ground.
struct PinCurrent { double amps = 0, by_pin = 0, by_supply = 0; };
PinCurrent driven(const Stage& s, double v, double supply) {
  PinCurrent out;
  if (s.pull_up_ohm > 0) {
    const Branch lifted = soft_plus(s.float_share * supply - v, kStageWidth);
    out = {lifted.current / s.pull_up_ohm, -lifted.slope / s.pull_up_ohm, s.float_share * lifted.slope / s.pull_up_ohm};
  }
  const double high_v = supply - s.high_drop_v;
  if (s.drive == Drive::low) {
    const Branch sunk = soft_limit((v - s.low_v) / s.low_ohm, s.low_limit_a);
    out.amps -= sunk.current;
    out.by_pin -= sunk.slope / s.low_ohm;
  } else if (s.drive == Drive::high) {
    const Branch lifted = s.high_sinks ? Branch{high_v - v, 1} : soft_plus(high_v - v, kStageWidth);
    out.amps += lifted.current / s.high_ohm;
    out.by_pin -= lifted.slope / s.high_ohm;
    out.by_supply += lifted.slope / s.high_ohm;
  } else if (s.drive == Drive::moving) {
    const double ohms = (s.low_ohm + s.high_ohm) / 2, target = (1 - s.moving_share) * s.low_v + s.moving_share * high_v;
    out.amps += (target - v) / ohms;
    out.by_pin -= 1 / ohms;
    out.by_supply += s.moving_share / ohms;
  }
  return out;
}

void law_of(const Stage& s, Adder& add, Memory& memory, bool free) {
  enum { pin, supply, ground };
  const double v = add.across(pin, ground), rail = add.across(supply, ground);
  const Branch on = soft_step(rail, s.on_from_v, s.on_at_v);
  if (on.current > 0) {
    const PinCurrent it = driven(s, v, rail);
    const std::size_t other = s.drive == Drive::low ? ground : supply;  // where the current comes from
    add.flow(other, pin, on.current * it.amps);
    const double by_supply = on.current * it.by_supply + on.slope * it.amps;
    add.depends(other, pin, pin, on.current * it.by_pin);
    add.depends(other, pin, supply, by_supply);
    add.depends(other, pin, ground, -on.current * it.by_pin - by_supply);
  }
  if (s.drive != Drive::off) add.branch(pin, ground, kOutputLeakSiemens * v, kOutputLeakSiemens);
  if (v < 0.3 || memory.at[0] > -0.3) {
    const Branch low = add.limited_junction(-v, memory.at[0], free, kClampSaturation, kThermalVolts, kClampSeriesOhm);
    add.branch(ground, pin, low.current, low.slope);
  }
  if (s.clamps_up) {
    const Branch high = add.limited_junction(v - rail, memory.at[1], free, kClampSaturation, kThermalVolts, kClampSeriesOhm);
    add.branch(pin, supply, high.current, high.slope);
  }
}
void law_of(const Amplifier& a, Adder& add, Memory&, bool) {
  enum { plus, minus, out, supply, ground };
  const double rail = add.across(supply, ground), v = add.across(out, ground), difference = add.across(plus, minus);
  const Branch on = soft_step(rail, a.on_from_v, a.on_at_v);
  if (on.current == 0) return;
  if (a.open_collector) {
    const double z = -a.gain * difference, root = std::sqrt(1 + z * z);
    const double share = 0.5 * (1 + z / root), by_difference = -a.gain * 0.5 / (root * root * root);
    const Branch sunk = soft_limit((v - a.headroom_low_v) / a.output_ohm, 0.02);
    add.flow(out, ground, on.current * share * sunk.current);
    add.depends(out, ground, out, on.current * share * sunk.slope / a.output_ohm);
    add.depends(out, ground, plus, on.current * by_difference * sunk.current);
    add.depends(out, ground, minus, -on.current * by_difference * sunk.current);
    add.depends(out, ground, supply, on.slope * share * sunk.current);
    add.depends(out, ground, ground, -on.slope * share * sunk.current - on.current * share * sunk.slope / a.output_ohm);
    return;
  }
  const double span = rail - a.headroom_high_v - a.headroom_low_v, half = std::max(span, 0.2) / 2, slope_half = span > 0.2 ? 0.5 : 0;
  const double z = a.gain * difference / half, root = std::sqrt(1 + z * z), bent = z / root, by_z = 1 / (root * root * root);
  const double target = a.headroom_low_v + half * (1 + bent);
  const double by_difference = by_z * a.gain, by_rail = slope_half * (1 + bent) - slope_half * by_z * z;
  const double amps = (target - v) / a.output_ohm;
  add.flow(supply, out, on.current * amps);
  add.depends(supply, out, out, -on.current / a.output_ohm);
  add.depends(supply, out, plus, on.current * by_difference / a.output_ohm);
  add.depends(supply, out, minus, -on.current * by_difference / a.output_ohm);
  const double by_supply = on.current * by_rail / a.output_ohm + on.slope * amps;
  add.depends(supply, out, supply, by_supply);
  add.depends(supply, out, ground, on.current / a.output_ohm - by_supply);
}
void law_of(const Nothing&, Adder&, Memory&, bool) {}

}  // namespace

void evaluate(const Device& device, const std::array<double, kMostTerminals>& volts, Memory& memory, bool free, Response& out) {
  out = Response{};
  Adder add(volts, out);
  std::visit([&](const auto& law) { law_of(law, add, memory, free); }, device.law);
}

}  // namespace halfsplit::circuit
