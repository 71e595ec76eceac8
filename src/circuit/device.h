// circuit/device.h - one electrical device: nodes it hangs on and a smooth law from their volts to the currents it takes out of them.
//
// Shape:    up to five terminals; node 0 is ground, 1..n the nets, what lies above are nodes that a fault or the bench adds. Laws are plain structs of
//           numbers; a fault replaces the law or moves a terminal.
// Start at: Device, evaluate() in circuit/law.h.
#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <variant>

#include "board/machine.h"

namespace halfsplit::circuit {

using NodeIndex = std::uint32_t;
inline constexpr NodeIndex kGround = 0;
inline constexpr std::size_t kMostTerminals = 5;

/// Takes nothing: a part whose fault cut it off.
struct Nothing {};
/// a, b.
struct Resistor { double siemens = 0; double spread = 0; };
/// plus, minus: an electromotive force behind a resistance; it gives no more than the limit (0 = no limit).
struct Source { double volts = 0, ohms = 0.1, limit_a = 0, spread_v = 0; };
/// anode, cathode: i = saturation (exp(u / scale) - 1) with u = v - i series; with a breakdown, such a law backwards from there.
struct Junction {
  double saturation_a = 1e-14, scale_v = 0.026, series_ohm = 0;
  double breakdown_v = 0, breakdown_ohm = 0;  ///< 0 = none
  double spread_v = 0.015, breakdown_spread_v = 0;
};
/// collector, base, emitter: transport form; sign -1 for pnp.
struct Bipolar { double saturation_a = 1e-14, gain = 200, reverse_gain = 4, sign = 1; double spread_v = 0.01, gain_spread = 0.3; };
/// drain, gate, source: square law on both ends, with the body diode; sign -1 for p-channel.
struct Channel { double factor = 0.1, threshold_v = 2, sign = 1; double spread_v = 0.3; };
/// in, out, ground: the smallest of what the set-point asks, the dropout leaves, the limit and the power allow; sign -1 for a negative regulator.
struct Regulator { double set_v = 5, output_ohm = 0.02, dropout_v = 2, limit_a = 2, power_w = 15, quiescent_a = 0.005, sign = 1; double spread_v = 0.075; };
/// supply, ground: what a chip draws, from where it wakes up.
struct Load { double amps = 0.01, supply_v = 5, on_from_v = 2, on_at_v = 4, idle_ohm = 4000; double spread = 0.25; };

enum class Drive : std::uint8_t { off, low, high, moving };
/// pin, supply, ground: input current, clamps and output stage of a logic pin.
struct Stage {
  Drive drive = Drive::off;
  bool high_sinks = false, clamps_up = false;
  double on_from_v = 2, on_at_v = 4;
  double pull_up_ohm = 0, float_share = 0.3;   ///< 0: no pull-up; share of the supply to which an open input rises
  double low_v = 0.15, low_ohm = 20, low_limit_a = 0.06;
  double high_drop_v = 1.4, high_ohm = 120;
  double moving_share = 0.5;                   ///< share of the time at high while moving
};
/// in+, in-, out, supply, ground.
struct Amplifier { double gain = 1e4, output_ohm = 60, headroom_high_v = 1.5, headroom_low_v = 0.1, on_from_v = 1.5, on_at_v = 3, offset_v = 0.003; bool open_collector = false; };

using Law = std::variant<Nothing, Resistor, Source, Junction, Bipolar, Channel, Regulator, Load, Stage, Amplifier>;

struct Device {
  Law law;
  std::array<NodeIndex, kMostTerminals> node{};
  std::array<board::PinId, kMostTerminals> pin{};  ///< the leg at each terminal; not known for supplies from outside
  std::uint8_t terminals = 2;
  board::PartId part;
  std::optional<std::uint16_t> element;            ///< index into parts::elements()
  std::optional<double> fuse_a;                    ///< a fuse: opens above its rating, amperes
};

}  // namespace halfsplit::circuit
