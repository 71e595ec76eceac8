// The probability of a reading given a prediction. A word has a probability; an exact number a density over its unit (the misreading has one too, so the
// two can be mixed); a range or limit the probability of falling inside.
//
// Idea:     spreads are normal with a contamination of 3 % by a Student t of three degrees of freedom three times as wide: a reading that is a
//           little off speaks against a prediction, one that is far off no longer gets infinitely worse.
#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <initializer_list>
#include <limits>
#include <numbers>
#include <utility>

#include "fault/predictor.h"

namespace halfsplit::fault {
namespace {

using observe::Kind;
using observe::Relative;
using observe::Unit;
using observe::Value;
using observe::Word;

constexpr double kLeast = 1e-12;       // no prediction is so certain that a word becomes impossible
constexpr double kTailShare = 0.03, kTailWidth = 3;
constexpr double kBeepBelowOhms = 50;  // the usual continuity buzzer
constexpr double kOverloadOhms = 2e7;  // top of the usual meter
constexpr double kOverloadDiodeVolts = 2; // top of its diode test
constexpr double kOverloadMisread = 0.2;

double log_of(double probability) { return std::log(std::max(probability, kLeast)); }

// ---- words ----

const std::initializer_list<Word>& words_of(Kind kind) {
  static const std::initializer_list<Word> logic{Word::low, Word::high, Word::pulsing, Word::floating, Word::middle};
  static const std::initializer_list<Word> contact{Word::beep, Word::no_beep};
  static const std::initializer_list<Word> content{Word::right, Word::wrong, Word::dead};
  static const std::initializer_list<Word> function{Word::right, Word::wrong, Word::dead, Word::weak, Word::intermittent};
  static const std::initializer_list<Word> verdict{Word::good, Word::bad};
  static const std::initializer_list<Word> warmth{Word::cold, Word::normal, Word::warm, Word::hot};
  switch (kind) {
    case Kind::probe:
    case Kind::triggered: return logic;
    case Kind::continuity: return contact;
    case Kind::content:
    case Kind::memory:
    case Kind::dump: return content;
    case Kind::touch: return warmth;
    case Kind::look:
    case Kind::smell:
    case Kind::part_test:
    case Kind::piggyback:
    case Kind::swap:
    case Kind::elsewhere: return verdict;
    default: return function;
  }
}

double sum(const Outcome& outcome, std::initializer_list<Word> words) {
  double total = 0;
  for (const Word word : words) total += outcome.p[static_cast<std::size_t>(word)];
  return total;
}

/// "bad" is every state that is not right: how a symptom of unknown kind is kept.
double word_probability(Word word, const Outcome& outcome) {
  switch (word) {
    case Word::right:
    case Word::good: return sum(outcome, {Word::right, Word::good});
    case Word::bad: return sum(outcome, {Word::bad, Word::wrong, Word::dead, Word::weak, Word::intermittent});
    case Word::wrong: return sum(outcome, {Word::wrong, Word::bad});
    case Word::no_beep:
    case Word::overload: return sum(outcome, {Word::no_beep, Word::overload});
    default: return sum(outcome, {word});
  }
}

/// A comparison with a good machine or a twin, as words.
double relative_probability(const Relative& relative, const Outcome& outcome) {
  const double same = sum(outcome, {Word::right, Word::good, Word::normal});
  const double weaker = sum(outcome, {Word::weak, Word::cold});
  switch (relative.how) {
    case Relative::How::same: return same;
    case Relative::How::weaker:
    case Relative::How::half: return weaker;
    case Relative::How::different: return 1 - same;
    case Relative::How::stronger:
    case Relative::How::twice: return 1 - same - weaker;
  }
  return 0;
}

// ---- spreads ----

/// Student t, three degrees of freedom.
double tail_density(double z) { return 2 / (std::numbers::pi * std::sqrt(3.0) * std::pow(1 + z * z / 3, 2)); }
double tail_below(double z) {
  const double u = z / std::sqrt(3.0);
  return 0.5 + (u / (1 + u * u) + std::atan(u)) / std::numbers::pi;
}
double normal_density(double z) { return std::exp(-0.5 * z * z) / std::sqrt(2 * std::numbers::pi); }
double normal_below(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

double density(double x, double mean, double deviation) {
  const double z = (x - mean) / deviation;
  return ((1 - kTailShare) * normal_density(z) + kTailShare / kTailWidth * tail_density(z / kTailWidth)) / deviation;
}
double below(double x, double mean, double deviation) {
  if (std::isinf(x)) return x > 0 ? 1 : 0;
  const double z = (x - mean) / deviation;
  return (1 - kTailShare) * normal_below(z) + kTailShare * tail_below(z / kTailWidth);
}

/// What a figure is good to beside the spread of the prediction: last digit and instrument, or a tenth of it where it is "about".
double reading_deviation(double x, const Value& value) {
  const double instrument = std::max(0.005 * std::abs(x), value.unit == Unit::volts ? 0.005 : 0.0);
  return value.about ? std::hypot(instrument, 0.1 * std::abs(x)) : instrument;
}

double widened(const Outcome::Part& part, double by) { return std::max(std::hypot(static_cast<double>(part.deviation), by), 1e-12); }

double mixture_density(double x, const Outcome& outcome, double by) {
  double total = 0;
  for (const Outcome::Part& part : outcome.parts)
    if (part.weight > 0) total += part.weight * density(x, part.mean, widened(part, by));
  return total;
}
double mixture_within(double from, double to, const Outcome& outcome, double by) {
  double total = 0;
  for (const Outcome::Part& part : outcome.parts)
    if (part.weight > 0) total += part.weight * (below(to, part.mean, widened(part, by)) - below(from, part.mean, widened(part, by)));
  return total;
}

// ---- what a wrong reading shows ----

/// The span of figures people read off a meter for quantities that vary by powers of ten.
std::pair<double, double> decades_of(Unit unit) {
  switch (unit) {
    case Unit::ohms: return {0.1, 2e7};
    case Unit::hertz: return {1, 1e8};
    case Unit::seconds: return {1e-9, 10};
    case Unit::farads: return {1e-12, 1e-1};
    case Unit::amps: return {1e-4, 10};
    case Unit::rpm: return {1, 1e4};
    case Unit::bytes: return {1, 1e6};
    default: return {1e-2, 1e3};
  }
}

/// Three quarters land where a logic board has its levels, the rest anywhere (Cauchy, scale 12 V).
double misread_volts_below(double x) {
  const double board = std::clamp((x + 0.5) / 6.0, 0.0, 1.0);
  return 0.75 * board + 0.25 * (0.5 + std::atan(x / 12) / std::numbers::pi);
}
double misread_volts_density(double x) {
  const double board = x >= -0.5 && x <= 5.5 ? 1 / 6.0 : 0.0;
  return 0.75 * board + 0.25 / (std::numbers::pi * 12 * (1 + x * x / 144));
}

/// Even over the decades, with a tenth of the mass below and a tenth above them, falling off as powers.
double misread_decades_below(double x, Unit unit) {
  const auto [low, high] = decades_of(unit);
  if (x <= 0) return 0;
  if (x < low) return 0.1 * x / low;
  if (x > high) return 1 - 0.1 * high / x;
  return 0.1 + 0.8 * std::log(x / low) / std::log(high / low);
}
double misread_decades_density(double x, Unit unit) {
  const auto [low, high] = decades_of(unit);
  if (x < low) return 0.1 / low;
  if (x > high) return 0.1 * high / (x * x);
  return 0.8 / (x * std::log(high / low));
}

double misread_number(const Value& value, double high_share) {
  const bool volts = value.unit == Unit::volts;
  if (value.from == value.to) return high_share * (volts ? misread_volts_density(value.from) : misread_decades_density(std::abs(value.from), value.unit));
  const auto cumulative = [&](double x) {
    if (std::isinf(x)) return x > 0 ? 1.0 : 0.0;
    return volts ? misread_volts_below(x) : misread_decades_below(x, value.unit);
  };
  return high_share * (cumulative(value.to) - cumulative(value.from));
}

// ---- a number against words and the other way round: only where both speak of the same thing ----

bool about_conduction(Kind kind) { return kind == Kind::ohms || kind == Kind::continuity; }

double conduction_word(Word word, const Outcome& outcome) {
  const double infinity = std::numeric_limits<double>::infinity();
  switch (word) {
    case Word::beep: return mixture_within(-infinity, kBeepBelowOhms, outcome, 0);
    case Word::no_beep: return mixture_within(kBeepBelowOhms, infinity, outcome, 0);
    case Word::overload: return mixture_within(kOverloadOhms, infinity, outcome, 0);
    default: return -1;
  }
}

/// A resistance where "beep" or "no beep" was predicted: the probability of the word, spread as a misreading would be on its side.
double conduction_number(const Value& value, const Outcome& outcome) {
  const double beeping = misread_decades_below(kBeepBelowOhms, Unit::ohms), share = misread_number(value, 1);
  const double beep = sum(outcome, {Word::beep}), no_beep = sum(outcome, {Word::no_beep, Word::overload});
  if (value.to <= kBeepBelowOhms) return beep * share / beeping;
  if (value.from >= kBeepBelowOhms) return no_beep * share / (1 - beeping);
  Value low = value, high = value;
  low.to = kBeepBelowOhms;
  high.from = kBeepBelowOhms;
  return beep * misread_number(low, 1) / beeping + no_beep * misread_number(high, 1) / (1 - beeping);
}

double number_probability(const Value& value, const Outcome& outcome) {
  if (value.from == value.to) return mixture_density(value.from, outcome, reading_deviation(value.from, value));
  const double edge = std::isinf(value.from) ? value.to : value.from;
  return mixture_within(value.from, value.to, outcome, reading_deviation(edge, value));
}

/// A wrong report: half the time it says that nothing fails or doesn't come, else it names one bit or any others.
double misread_bits(const Value& value) {
  constexpr double kWidth = 8;
  if (value.wanted_got) {
    Value told;
    told.failing = value.wanted_got->first ^ value.wanted_got->second;
    return misread_bits(told);
  }
  if (value.word == Word::dead || value.failing == 0u) return 0.25;
  if (!value.failing) return 0.5;
  return std::popcount(*value.failing) == 1 ? 0.35 / kWidth : 0.15 / (std::exp2(kWidth) - kWidth - 1);
}

double bits_of_value(const Value& value, const Outcome& outcome) {
  if (value.wanted_got) return sample_probability(value.wanted_got->first, value.wanted_got->second, outcome);
  if (value.failing) return bits_probability(*value.failing, outcome);
  const double right = bits_probability(0, outcome);
  if (!value.word) return -1;
  switch (*value.word) {
    case Word::right:
    case Word::good: return right;
    case Word::dead: return outcome.no_report;
    case Word::wrong:
    case Word::bad: return 1 - outcome.no_report - right;
    default: return -1;
  }
}

}  // namespace

double log_misread(const Value& value, Kind kind) {
  if (kind == Kind::memory || value.failing) return std::log(misread_bits(value));
  if (value.is_number()) return std::log(std::max(misread_number(value, about_conduction(kind) ? 1 - kOverloadMisread : 1), 1e-300));
  if (value.word == Word::overload) return std::log(kOverloadMisread);
  if (value.word && value.relative && value.relative->how == Relative::How::different) return std::log(1 - 1.0 / static_cast<double>(words_of(kind).size()));
  if (value.word == Word::bad && kind == Kind::function) return std::log(0.8);  // four of the five words
  if (value.relative && !value.word) return std::log(1 / 3.0);
  return -std::log(static_cast<double>(words_of(kind).size()));
}

double log_likelihood(const Value& value, const Outcome& outcome, Kind kind) {
  const double anything = log_misread(value, kind);
  if (outcome.form == Outcome::Form::none) return anything;
  if (outcome.form == Outcome::Form::bits) {
    const double p = bits_of_value(value, outcome);
    return p < 0 ? anything : log_of(p);
  }
  if (outcome.form == Outcome::Form::number) {
    if (value.is_number()) return value.unit == outcome.unit ? std::log(std::max(number_probability(value, outcome), 1e-300)) : anything;
    double word = value.word && outcome.unit == Unit::ohms && about_conduction(kind) ? conduction_word(*value.word, outcome) : -1;
    if (value.word == Word::overload && kind == Kind::diode) word = mixture_within(kOverloadDiodeVolts, std::numeric_limits<double>::infinity(), outcome, 0);
    return word < 0 ? anything : log_of(word);
  }
  if (value.word && value.relative && value.relative->how == Relative::How::different) return log_of(1 - word_probability(*value.word, outcome));
  if (value.word) return log_of(word_probability(*value.word, outcome));
  if (value.relative) return log_of(relative_probability(*value.relative, outcome));
  if (value.is_number() && value.unit == Unit::ohms && about_conduction(kind)) return std::log(std::max(conduction_number(value, outcome), 1e-300));
  return anything;
}

namespace {

/// Whether a report comes, and which bits it names, once one has been taken.
Outcome narrowed_report(const Outcome& outcome, const Evidence& reading) {
  Outcome out = outcome, comes = outcome;
  comes.no_report = 0;
  const double doubt = std::max(reading.doubt, 1e-6), wrong = doubt * std::exp(log_misread(reading.value, Kind::memory));
  const double none = (reading.value.word == Word::dead ? 1 - doubt : 0) + wrong;
  const double some = (1 - doubt) * std::exp(log_likelihood(reading.value, comes, Kind::memory)) + wrong;
  const double total = outcome.no_report * none + (1 - outcome.no_report) * some;
  if (total <= 0) return outcome;
  out.no_report = static_cast<float>(outcome.no_report * none / total);
  for (std::uint32_t bit = 0; reading.value.failing && bit < outcome.width; ++bit) {
    const double told = ((*reading.value.failing >> bit) & 1u) != 0 ? 1 - doubt : doubt, p = outcome.p[bit];
    out.p[bit] = static_cast<float>(p * told / (p * told + (1 - p) * (1 - told)));
  }
  return out;
}

}  // namespace

Outcome narrowed(const Outcome& outcome, const Evidence& reading) {
  if (outcome.form == Outcome::Form::bits) return narrowed_report(outcome, reading);
  Outcome out = outcome;
  const double wrong = reading.doubt * std::exp(log_misread(reading.value, reading.query.kind));
  const auto factor = [&](const Outcome& alone) { return (1 - reading.doubt) * std::exp(log_likelihood(reading.value, alone, reading.query.kind)) + wrong; };
  double total = 0;
  if (outcome.form == Outcome::Form::words) {
    for (std::size_t word = 0; word < out.p.size(); ++word) {
      if (outcome.p[word] <= 0) continue;
      Outcome alone;
      alone.form = Outcome::Form::words;
      alone.p[word] = 1;
      out.p[word] = static_cast<float>(outcome.p[word] * factor(alone));
      total += out.p[word];
    }
    for (float& p : out.p) p = total > 0 ? static_cast<float>(p / total) : p;
  } else if (outcome.form == Outcome::Form::number) {
    for (std::size_t i = 0; i < out.parts.size(); ++i) {
      if (outcome.parts[i].weight <= 0) continue;
      Outcome alone = outcome;
      alone.parts = {};
      alone.parts[0] = outcome.parts[i];
      alone.parts[0].weight = 1;
      out.parts[i].weight = static_cast<float>(outcome.parts[i].weight * factor(alone));
      total += out.parts[i].weight;
    }
    for (auto& part : out.parts) part.weight = total > 0 ? static_cast<float>(part.weight / total) : part.weight;
  }
  return total > 0 ? out : outcome;
}

}  // namespace halfsplit::fault
