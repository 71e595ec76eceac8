#include "predict/compare.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace halfsplit::predict {
namespace {

using fault::Outcome;
using observe::Relative;
using observe::Word;
using How = Relative::How;

constexpr double kSeen = 0.15;        ///< a ratio of less than this is not seen by eye
constexpr double kAlike = 0.93;       ///< two good specimens are told to be the same
constexpr double kDiffers = 0.1;      ///< specimens that differ from the good machine that was read
constexpr double kZero = 0.15;        ///< below this amount two values are both "nothing"

struct Weighed { double value, weight; };

/// Nine values a spread.
std::vector<Weighed> spread_out(const Outcome& outcome) {
  static constexpr std::array<double, 9> kQuantiles = {-1.59, -0.97, -0.59, -0.28, 0, 0.28, 0.59, 0.97, 1.59};
  std::vector<Weighed> out;
  for (const Outcome::Part& part : outcome.parts)
    if (part.weight > 0)
      for (const double z : kQuantiles) out.push_back({part.mean + z * part.deviation, static_cast<double>(part.weight) / kQuantiles.size()});
  return out;
}

bool holds(How how, double here, double there) {
  here = std::abs(here);
  there = std::abs(there);
  const bool nothing = here < kZero && there < kZero;
  const double ratio = there > 1e-9 ? here / there : here < 1e-9 ? 1 : 1e9;
  switch (how) {
    case How::same: return nothing || std::abs(ratio - 1) <= kSeen;
    case How::different: return !nothing && std::abs(ratio - 1) > kSeen;
    case How::weaker: return !nothing && ratio < 1 - kSeen;
    case How::stronger: return !nothing && ratio > 1 + kSeen;
    case How::half: return !nothing && ratio > 0.3 && ratio < 0.7;
    case How::twice: return !nothing && ratio > 1.5 && ratio < 3;
  }
  return false;
}

/// Words that have an order; others only agree or differ.
std::optional<int> rank_of(Word word) {
  switch (word) {
    case Word::cold:
    case Word::dead: return 0;
    case Word::normal:
    case Word::weak:
    case Word::intermittent: return 1;
    case Word::warm: return 2;
    case Word::hot:
    case Word::right: return 3;
    default: return std::nullopt;
  }
}

bool holds(How how, Word here, Word there) {
  if (how == How::same) return here == there;
  if (how == How::different) return here != there;
  const auto a = rank_of(here), b = rank_of(there);
  if (!a || !b) return false;
  return how == How::weaker || how == How::half ? *a < *b : *a > *b;
}

double of_words(How how, const Outcome& here, const Outcome& there) {
  double out = 0;
  for (std::size_t a = 0; a < here.p.size(); ++a)
    for (std::size_t b = 0; b < there.p.size(); ++b)
      if (here.p[a] > 0 && there.p[b] > 0 && holds(how, static_cast<Word>(a), static_cast<Word>(b))) out += static_cast<double>(here.p[a]) * static_cast<double>(there.p[b]);
  return out;
}

double of_numbers(How how, const Outcome& here, const Outcome& there) {
  double out = 0;
  for (const Weighed& a : spread_out(here))
    for (const Weighed& b : spread_out(there))
      if (holds(how, a.value, b.value)) out += a.weight * b.weight;
  return out;
}

}  // namespace

std::optional<double> comparison_probability(How how, const Outcome& here, const Outcome& there, bool alike) {
  if (here.form != there.form || (here.form != Outcome::Form::words && here.form != Outcome::Form::number)) return std::nullopt;
  if (here.form == Outcome::Form::number && here.unit != there.unit) return std::nullopt;
  if (alike) return how == How::same ? kAlike : how == How::different ? 1 - kAlike : (1 - kAlike) / 4;
  const double p = here.form == Outcome::Form::words ? of_words(how, here, there) : of_numbers(how, here, there);
  return std::clamp(p, 0.01, 0.99);
}

Outcome as_on_good(const Outcome& predicted, const observe::Value& good) {
  Outcome out = predicted;
  if (predicted.form == Outcome::Form::words && good.word) {
    for (float& p : out.p) p *= static_cast<float>(kDiffers);
    out.p[static_cast<std::size_t>(*good.word)] += static_cast<float>(1 - kDiffers);
    return out;
  }
  if (predicted.form != Outcome::Form::number || !good.is_number() || good.unit != predicted.unit || !std::isfinite(good.from) || !std::isfinite(good.to)) return predicted;
  const double mean = (good.from + good.to) / 2, spread = std::hypot((good.to - good.from) / 4, std::max(0.07 * std::abs(mean), 0.08));
  // The third spread gives way: a live line reads one thing on good machines.
  out.parts[2] = out.parts[1];
  out.parts[1] = out.parts[0];
  const float rest = out.parts[1].weight + out.parts[2].weight;
  for (std::size_t i = 1; i < out.parts.size() && rest > 0; ++i) out.parts[i].weight *= static_cast<float>(kDiffers) / rest;
  out.parts[0] = {static_cast<float>(1 - kDiffers), static_cast<float>(mean), static_cast<float>(spread)};
  return out;
}

}  // namespace halfsplit::predict
