#include "predict/spreads.h"

#include <algorithm>
#include <cmath>

namespace halfsplit::predict {

using circuit::Reading;
using fault::Outcome;
using observe::Kind;

namespace {
constexpr double kFloatsOhms = 1e7, kFloatsSpread = 0.4;   ///< above it a meter reads about 0 and drifts
constexpr double kOverMean = 3e8, kOverSpread = 5e7, kOverDiode = 2.9, kOverDiodeSpread = 0.2;
constexpr double kLeastOhms = 0.15, kOhmsShare = 0.006, kDiodeSpread = 0.012, kVoltsSpread = 0.004, kAmpsShare = 0.02;
constexpr double kBeepSpread = 20;                         ///< ohms: meters differ
}  // namespace

Spread shown(const Reading& it, Kind kind) {
  if (kind == Kind::diode) return it.over ? Spread{kOverDiode, kOverDiodeSpread} : Spread{it.value, std::hypot(it.spread, kDiodeSpread)};
  if (kind == Kind::current) return {it.value, std::hypot(it.spread, 0.002 + kAmpsShare * std::abs(it.value))};
  if (kind == Kind::ohms || kind == Kind::continuity)
    return it.over ? Spread{kOverMean, kOverSpread} : Spread{it.value, std::hypot(it.spread, kLeastOhms + kOhmsShare * it.value)};
  return {it.value, it.source_ohm > kFloatsOhms ? kFloatsSpread : std::hypot(it.spread, kVoltsSpread)};
}
namespace {
observe::Unit unit_of(Kind kind) {
  if (kind == Kind::ohms) return observe::Unit::ohms;
  return kind == Kind::current ? observe::Unit::amps : observe::Unit::volts;
}
}  // namespace

void widen(std::vector<Weighed>& all) {
  std::vector<std::size_t> order(all.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return all[a].spread.mean < all[b].spread.mean; });
  std::vector<double> gap(all.size(), 0);
  for (std::size_t k = 1; k < order.size(); ++k) {
    const double apart = (all[order[k]].spread.mean - all[order[k - 1]].spread.mean) / 3;
    gap[order[k]] = std::max(gap[order[k]], std::min(apart, std::abs(all[order[k]].spread.mean) / 2));
    gap[order[k - 1]] = std::max(gap[order[k - 1]], apart < std::abs(all[order[k - 1]].spread.mean) * 3 + 1 ? apart : 0);
  }
  for (std::size_t i = 0; i < all.size(); ++i) all[i].spread.deviation = std::hypot(all[i].spread.deviation, gap[i]);
}

Outcome words_outcome(const std::vector<Weighed>& all) {
  Outcome out;
  out.form = Outcome::Form::words;
  double beep = 0;
  for (const Weighed& each : all) beep += each.weight / (1 + std::exp((each.spread.mean - circuit::kBeepOhms) / kBeepSpread * 2));
  beep = std::clamp(beep, 0.01, 0.99);
  out.p[static_cast<std::size_t>(observe::Word::beep)] = static_cast<float>(beep);
  out.p[static_cast<std::size_t>(observe::Word::no_beep)] = static_cast<float>(1 - beep);
  return out;
}
Outcome number_outcome(const std::vector<Weighed>& all, Kind kind) {
  Outcome out;
  out.form = Outcome::Form::number;
  out.unit = unit_of(kind);
  for (std::size_t i = 0; i < all.size() && i < out.parts.size(); ++i)
    out.parts[i] = {static_cast<float>(all[i].weight), static_cast<float>(all[i].spread.mean), static_cast<float>(all[i].spread.deviation)};
  return out;
}

}  // namespace halfsplit::predict
