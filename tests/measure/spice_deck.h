// tests/measure/spice_deck.h - a network with a patch as a deck for ngspice: the same laws, written as its own diodes, transistors and behaviour sources.
//
// Start at: Deck.
#pragma once
#include <fmt/core.h>

#include <string>

#include "circuit/law.h"
#include "circuit/network.h"

namespace halfsplit::circuit {

class Deck {
 public:
  Deck(const Network& network, const Patch& patch) {
    text_ = "halfsplit\n.options reltol=1e-6 abstol=1e-13 vntol=1e-9 gmin=1e-15 itl1=2000 itl2=2000 temp=27\n";
    std::vector<Law> laws;
    for (const Device& each : network.devices) laws.push_back(each.law);
    for (const auto& change : patch.changes) laws[change.device] = change.law;
    for (NodeIndex n = 1; n < network.nodes; ++n) line("R{} {} 0 {:.9e}", next(), name(n), 1 / kLeakSiemens);
    for (std::size_t d = 0; d < network.devices.size(); ++d) add(network.devices[d], laws[d]);
    for (const Device& each : patch.added) add(each, each.law);
  }
  static std::string name(NodeIndex node) { return node == kGround ? "0" : fmt::format("n{}", node); }
  template <class... Args>
  void line(fmt::format_string<Args...> format, Args&&... args) {
    text_ += fmt::format(format, std::forward<Args>(args)...) + "\n";
  }
  const std::string& text() const { return text_; }

 private:
  int next() { return ++count_; }
  std::string difference(NodeIndex a, NodeIndex b) const { return fmt::format("(v({})-v({}))", name(a), name(b)); }
  /// A helper node that holds the value of an expression.
  std::string held(const std::string& expression) {
    const int k = next();
    line("B{} h{} 0 V={}", k, k, expression);
    return fmt::format("v(h{})", k);
  }
  std::string soft_plus(const std::string& x, double width) { return held(fmt::format("max({0},0)+{1}*ln(1+exp(-abs({0})/{1}))", held(x), width)); }
  std::string soft_smaller(const std::string& a, const std::string& b, double width) { return held(fmt::format("{}-{}", a, soft_plus(fmt::format("{}-{}", a, b), width))); }
  std::string soft_step(const std::string& x, double from, double to) {
    const std::string t = held(fmt::format("min(max(({}-{})/{},0),1)", x, from, to - from));
    return held(fmt::format("{0}*{0}*(3-2*{0})", t));
  }
  std::string soft_limit(const std::string& x, double limit) {
    const std::string at = held(x);
    return fmt::format("({0}/sqrt(1+({0}/{1})*({0}/{1})))", at, limit);
  }
  void current(NodeIndex from, NodeIndex to, const std::string& expression) { line("B{} {} {} I={}", next(), name(from), name(to), expression); }
  void diode(NodeIndex anode, NodeIndex cathode, double saturation, double scale, double series) { diode(name(anode), name(cathode), saturation, scale, series); }
  void diode(const std::string& anode, const std::string& cathode, double saturation, double scale, double series) {
    const int k = next();
    line("D{} {} {} dm{}", k, anode, cathode, k);
    line(".model dm{} D(is={:.9e} n={:.9f} rs={:.9e})", k, saturation, scale / kThermalVolts, series);
  }

  void add(const Device& it, const Law& law) {
    const auto& n = it.node;
    if (const auto* r = std::get_if<Resistor>(&law)) line("R{} {} {} {:.9e}", next(), name(n[0]), name(n[1]), 1 / r->siemens);
    else if (const auto* s = std::get_if<Source>(&law)) source(*s, n);
    else if (const auto* j = std::get_if<Junction>(&law)) junction(*j, n);
    else if (const auto* q = std::get_if<Bipolar>(&law)) {
      const int k = next();
      line("Q{} {} {} {} qm{}", k, name(n[0]), name(n[1]), name(n[2]), k);
      line(".model qm{} {}(is={:.9e} bf={:.9e} br={:.9e})", k, q->sign > 0 ? "NPN" : "PNP", q->saturation_a, q->gain, q->reverse_gain);
    } else if (const auto* m = std::get_if<Channel>(&law)) channel(*m, n);
    else if (const auto* g = std::get_if<Regulator>(&law)) regulator(*g, n);
    else if (const auto* l = std::get_if<Load>(&law)) {
      const std::string v = difference(n[0], n[1]);
      current(n[0], n[1], fmt::format("{}*{}/{}*{}+{}/{}", l->amps, v, l->supply_v, soft_step(v, l->on_from_v, l->on_at_v), v, l->idle_ohm));
      diode(n[1], n[0], kSupplyClampSaturation, kThermalVolts, kSupplyClampSeriesOhm);
    } else if (const auto* t = std::get_if<Stage>(&law)) stage(*t, n);
    else if (const auto* a = std::get_if<Amplifier>(&law)) amplifier(*a, n);
  }
  using Nodes = std::array<NodeIndex, kMostTerminals>;
  void source(const Source& s, const Nodes& n) {
    if (s.limit_a > 0) return current(n[1], n[0], soft_limit(fmt::format("({}-{})/{}", s.volts, difference(n[0], n[1]), s.ohms), s.limit_a));
    const int k = next();
    line("V{} e{} {} {:.9e}", k, k, name(n[1]), s.volts);
    line("R{} e{} {} {:.9e}", next(), k, name(n[0]), s.ohms);
  }
  void junction(const Junction& j, const Nodes& n) {
    diode(n[0], n[1], j.saturation_a, j.scale_v, j.series_ohm);
    if (j.breakdown_v == 0) return;
    const int k = next();
    line("V{} {} b{} {:.9e}", k, name(n[1]), k, j.breakdown_v);
    diode(fmt::format("b{}", k), name(n[0]), kBreakdownSaturation, kThermalVolts, j.breakdown_ohm);
  }
  void channel(const Channel& m, const Nodes& n) {
    const std::string near = soft_plus(fmt::format("{}*{}-{}", m.sign, difference(n[1], n[2]), m.threshold_v), kGateWidth);
    const std::string far = soft_plus(fmt::format("{}*{}-{}", m.sign, difference(n[1], n[0]), m.threshold_v), kGateWidth);
    current(n[0], n[2], fmt::format("{}*({}*{}-{}*{})", m.sign * m.factor / 2, near, near, far, far));
    m.sign > 0 ? diode(n[2], n[0], kBodySaturation, kThermalVolts, kBodySeriesOhm) : diode(n[0], n[2], kBodySaturation, kThermalVolts, kBodySeriesOhm);
  }
  void regulator(const Regulator& r, const Nodes& n) {
    const std::string supply = held(fmt::format("{}*{}", r.sign, difference(n[0], n[2]))), load = held(fmt::format("{}*{}", r.sign, difference(n[1], n[2])));
    const std::string drop = held(supply + "-" + load);
    const std::string power = held(fmt::format("{}/({}+{})", r.power_w, kLeastPowerDrop, soft_plus(fmt::format("{}-{}", drop, kLeastPowerDrop), 0.1)));
    const std::string first = soft_smaller(held(fmt::format("({}-{})/{}", r.set_v, load, r.output_ohm)), held(fmt::format("({}-{})/{}", drop, r.dropout_v, kDropoutOhm)), kRegulatorWidth);
    const std::string second = soft_smaller(fmt::format("{}", r.limit_a), power, kRegulatorWidth);
    current(n[0], n[1], fmt::format("{}*{}", r.sign, soft_plus(soft_smaller(first, second, kRegulatorWidth), kRegulatorWidth)));
    current(n[0], n[2], fmt::format("{}*{}", r.sign * r.quiescent_a, soft_step(supply, 1, 3)));
    r.sign > 0 ? diode(n[1], n[0], kSupplyClampSaturation, kThermalVolts, kSupplyClampSeriesOhm) : diode(n[0], n[1], kSupplyClampSaturation, kThermalVolts, kSupplyClampSeriesOhm);
  }
  void stage(const Stage& s, const Nodes& n) {
    const std::string v = difference(n[0], n[2]), rail = difference(n[1], n[2]);
    std::string amps = "0";
    if (s.pull_up_ohm > 0) amps += fmt::format("+{}/{}", soft_plus(fmt::format("{}*{}-{}", s.float_share, rail, v), kStageWidth), s.pull_up_ohm);
    const std::string high = fmt::format("({}-{})", rail, s.high_drop_v);
    if (s.drive == Drive::low) amps += "-" + soft_limit(fmt::format("({}-{})/{}", v, s.low_v, s.low_ohm), s.low_limit_a);
    if (s.drive == Drive::high) amps += "+" + (s.high_sinks ? fmt::format("({}-{})", high, v) : soft_plus(fmt::format("{}-{}", high, v), kStageWidth)) + fmt::format("/{}", s.high_ohm);
    if (s.drive == Drive::moving) amps += fmt::format("+({}+{}*{}-{})/{}", (1 - s.moving_share) * s.low_v, s.moving_share, high, v, (s.low_ohm + s.high_ohm) / 2);
    current(s.drive == Drive::low ? n[2] : n[1], n[0], fmt::format("{}*({})", soft_step(rail, s.on_from_v, s.on_at_v), amps));
    if (s.drive != Drive::off) line("R{} {} {} {:.9e}", next(), name(n[0]), name(n[2]), 1 / kOutputLeakSiemens);
    diode(n[2], n[0], kClampSaturation, kThermalVolts, kClampSeriesOhm);
    if (s.clamps_up) diode(n[0], n[1], kClampSaturation, kThermalVolts, kClampSeriesOhm);
  }
  void amplifier(const Amplifier& a, const Nodes& n) {
    const std::string rail = difference(n[3], n[4]), v = difference(n[2], n[4]), z = difference(n[0], n[1]), on = soft_step(rail, a.on_from_v, a.on_at_v);
    if (a.open_collector) {
      const std::string steep = held(fmt::format("-{}*{}", a.gain, z));
      return current(n[2], n[4], fmt::format("{0}*0.5*(1+{1}/sqrt(1+{1}*{1}))*{2}", on, steep, soft_limit(fmt::format("({}-{})/{}", v, a.headroom_low_v, a.output_ohm), 0.02)));
    }
    const std::string half = held(fmt::format("max({}-{},0.2)/2", rail, a.headroom_high_v + a.headroom_low_v)), steep = held(fmt::format("{}*{}/{}", a.gain, z, half));
    current(n[3], n[2], fmt::format("{0}*({1}+{2}*(1+{3}/sqrt(1+{3}*{3}))-{4})/{5}", on, a.headroom_low_v, half, steep, v, a.output_ohm));
  }

  std::string text_;
  int count_ = 0;
};

}  // namespace halfsplit::circuit
