#include <algorithm>
#include <cmath>

#include "circuit/law.h"

namespace halfsplit::circuit {

namespace {
constexpr double kMostExponent = 200;  // beyond any current that a board carries, below what overflows
constexpr double kFarTail = 36;  // exp(-36) is below what doubles keep beside 1
}

Branch junction_current(double volts, double saturation_a, double scale_v, double series_ohm) {
  if (volts < -kFarTail * scale_v) return {-saturation_a, 0};
  if (series_ohm == 0 || volts <= 0) {
    const double grown = saturation_a * std::exp(std::min(volts / scale_v, kMostExponent));
    const double slope = grown / scale_v;
    return {grown - saturation_a, slope / (1 + slope * series_ohm)};
  }
  // Inner voltage w: w + series * saturation (exp(w / scale) - 1) = volts; this start lies above the root, from there Newton's steps only fall.
  double inner = std::min(volts, scale_v * std::log1p(volts / (series_ohm * saturation_a)));
  double grown = saturation_a * std::exp(inner / scale_v);
  for (int i = 0; i < 20; ++i) {
    const double step = (inner + series_ohm * (grown - saturation_a) - volts) / (1 + series_ohm * grown / scale_v);
    inner -= step;
    grown = saturation_a * std::exp(inner / scale_v);
    if (std::abs(step) < 1e-9 * scale_v) break;
  }
  const double slope = grown / scale_v;
  return {grown - saturation_a, slope / (1 + slope * series_ohm)};
}

double breakdown_from(double zener_v, double breakdown_ohm) {
  constexpr double kTestAmps = 0.005;
  return std::max(0.1, zener_v - kThermalVolts * std::log1p(kTestAmps / kBreakdownSaturation) - kTestAmps * breakdown_ohm);
}

Branch soft_plus(double x, double width) {
  const double z = x / width;
  if (z > kFarTail) return {x, 1};
  if (z < -kFarTail) return {0, 0};
  const double grown = std::exp(z);
  return {width * std::log1p(grown), grown / (1 + grown)};
}
Branch soft_step(double x, double from, double to) {
  const double t = std::clamp((x - from) / (to - from), 0.0, 1.0);
  return {t * t * (3 - 2 * t), 6 * t * (1 - t) / (to - from)};
}
Branch soft_limit(double x, double limit) {
  const double z = x / limit, root = std::sqrt(1 + z * z);
  return {x / root, 1 / (root * root * root)};
}

}  // namespace halfsplit::circuit
