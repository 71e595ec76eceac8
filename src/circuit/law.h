// circuit/law.h - currents of a device at given volts, and how they change: the laws of diode, transistor, regulator, chip pins.
//
// Idea:     every law is smooth, so Newton's method needs no cases. A junction is expanded not where the last solution put it but where the current
//           predicted there would put it (inverse law): steps of volts across a diode become steps of millivolts.
// Source:   diode with series resistance: W function by Newton on its logarithm; transistor: transport form of Ebers and Moll; limiting by predicted
//           current: usual practice of circuit simulators since 1975.
// Cost:     20 to 100 ns a device.
// Start at: evaluate(), perturbations() for tolerances.
#pragma once
#include <array>
#include <vector>

#include "circuit/device.h"

namespace halfsplit::circuit {

/// Thermal voltage at 27 degrees Celsius.
inline constexpr double kThermalVolts = 1.380649e-23 * 300.15 / 1.602176634e-19;

/// current[i]: out of the node into terminal i, extended along the tangent to the volts asked for; slope[i][j] = d current[i] / d volts[j].
struct Response {
  std::array<double, kMostTerminals> current{};
  std::array<std::array<double, kMostTerminals>, kMostTerminals> slope{};
  bool settled = true;  ///< the tangent was taken at the volts asked for, not at limited ones
};
/// Where the junctions of a device were expanded last.
struct Memory { std::array<double, 2> at{}; };

/// `memory` is read and moved. With `free`, no limiting: the tangent is taken at the volts given (memory is set to them).
void evaluate(const Device& device, const std::array<double, kMostTerminals>& volts, Memory& memory, bool free, Response& out);

/// A tolerance of the device as a current between two of its terminals: one standard deviation, amperes.
struct Perturbation { std::uint8_t from = 0, to = 1; double amps = 0; };
/// `volts`, `response`: the solved state.
void perturbations(const Device& device, const std::array<double, kMostTerminals>& volts, const Response& response, std::vector<Perturbation>& out);

// Single pieces, for tests and the oracle.
/// Diode current with series resistance, and its slope.
struct Branch { double current = 0, slope = 0; };
Branch junction_current(double volts, double saturation_a, double scale_v, double series_ohm);
/// Where the backward law of a zener must begin for it to carry 5 mA at its printed volts.
double breakdown_from(double zener_v, double breakdown_ohm);
/// width ln(1 + exp(x / width)) and its slope.
Branch soft_plus(double x, double width);
/// 0 up to `from`, 1 above `to`, a cubic between.
Branch soft_step(double x, double from, double to);
/// x bent so that it never passes +-limit.
Branch soft_limit(double x, double limit);

inline constexpr double kClampSaturation = 1e-14, kClampSeriesOhm = 10;   ///< input clamps of chips
inline constexpr double kSupplyClampSaturation = 1e-12, kSupplyClampSeriesOhm = 0.5;
inline constexpr double kBreakdownSaturation = 1e-12;                     ///< of the backward law, which starts at the breakdown voltage
inline constexpr double kBodySaturation = 1e-13, kBodySeriesOhm = 0.05;
inline constexpr double kStageWidth = 0.02, kRegulatorWidth = 0.001, kDropoutOhm = 0.2, kLeastPowerDrop = 0.5, kOutputLeakSiemens = 1e-5, kGateWidth = 0.05;

}  // namespace halfsplit::circuit
