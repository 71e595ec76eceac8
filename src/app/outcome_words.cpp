#include "app/outcome_words.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "base/text.h"
#include "observe/quantity.h"

namespace halfsplit::app {
namespace {

using fault::Outcome;
using Verdict = report::MeaningLine::Verdict;

constexpr double kLikely = 0.2;       ///< a word that is told
constexpr float kPossible = 0.05f;    ///< a spread that counts for the range
constexpr double kDeviations = 2;
constexpr double kMostOhms = 2e7, kMostDiodeVolts = 2;  ///< beyond these a meter shows OL

/// Good parts are often called hot; that is no reason to expect it, nor to call it right.
bool is_alarm(observe::Word word) { return word == observe::Word::hot || word == observe::Word::bad; }

constexpr char kNoReport[] = "no report";

std::string likely_report(const Outcome& outcome) {
  if (outcome.no_report > 0.5f) return kNoReport;
  observe::Value value;
  value.failing = fault::likeliest_bits(outcome);
  return observe::describe(value);
}

/// Rounded to so many digits that count.
double to_places(double value, int digits) {
  if (value == 0 || !std::isfinite(value)) return value;
  const double step = std::pow(10, std::floor(std::log10(std::abs(value))) - digits + 1);
  return std::round(value / step) * step;
}

/// "works" is what people say of a function.
std::string told(observe::Word word) { return word == observe::Word::right ? "works" : observe::name_of(word); }

}  // namespace

std::string words_of(const Outcome& outcome) {
  if (outcome.form != Outcome::Form::words) return {};
  std::vector<std::size_t> order(outcome.p.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return outcome.p[a] > outcome.p[b]; });
  std::vector<std::string> words;
  for (const std::size_t i : order)
    if (outcome.p[i] >= kLikely && !is_alarm(static_cast<observe::Word>(i))) words.push_back(told(static_cast<observe::Word>(i)));
  return join(words, " or ");
}

std::optional<Range> range_of(const Outcome& outcome) {
  if (outcome.form != Outcome::Form::number) return std::nullopt;
  Range out{INFINITY, -INFINITY, outcome.unit};
  for (const Outcome::Part& part : outcome.parts) {
    if (part.weight < kPossible) continue;
    double from = part.mean - kDeviations * part.deviation, to = part.mean + kDeviations * part.deviation;
    if (part.mean >= 0) from = std::max(from, 0.0);
    out.from = std::min(out.from, from);
    out.to = std::max(out.to, to);
  }
  return out;
}

std::string shown(const Range& range) {
  if (range.unit == observe::Unit::ohms && std::isfinite(range.from) && std::isfinite(range.to)) return observe::shown_range(to_places(range.from, 3), to_places(range.to, 3), range.unit);
  if (range.unit != observe::Unit::volts || !std::isfinite(range.from) || !std::isfinite(range.to)) return observe::shown_range(range.from, range.to, range.unit);
  // A logic level is not known to the millivolt: two places behind the point.
  const auto text = [](double value) { return halfsplit::shown(std::round(value * 100) / 100, 3); };
  const std::string from = text(range.from), to = text(range.to);
  return (from == to ? from : from + " to " + to) + " V";
}

std::string shown(const observe::Value& value) {
  if (value.word == observe::Word::dead && value.note == kNoReport) return kNoReport;
  if (value.failing) return observe::describe(value);
  if (value.word == observe::Word::right) return "works";
  if (!value.is_number() || !std::isfinite(value.from) || !std::isfinite(value.to)) return observe::describe(value);
  if (value.from < 0 && value.to > 0) return "under " + shown(Range{value.to, value.to, value.unit});
  return shown(Range{value.from, value.to, value.unit});
}

std::string expectation(const Outcome& healthy) {
  if (healthy.form == Outcome::Form::bits) return likely_report(healthy);
  const auto range = range_of(healthy);
  return range ? shown(*range) : words_of(healthy);
}

Verdict compare(const observe::Value& value, const Outcome& healthy) {
  if (const auto range = range_of(healthy)) {
    if (value.word == observe::Word::overload) return range->from >= (range->unit == observe::Unit::ohms ? kMostOhms : kMostDiodeVolts) ? Verdict::as_expected : Verdict::high;
    if (!value.is_number() || value.unit != range->unit) return Verdict::unknown;
    if (value.to < range->from) return Verdict::low;
    if (value.from > range->to) return Verdict::high;
    return Verdict::as_expected;
  }
  if (healthy.form == Outcome::Form::bits) {
    const double p = std::exp(fault::log_likelihood(value, healthy, observe::Kind::memory));
    return value.wanted_got ? (value.wanted_got->first == value.wanted_got->second ? Verdict::as_expected : Verdict::different) : p >= kLikely ? Verdict::as_expected : Verdict::different;
  }
  if (healthy.form != Outcome::Form::words || !value.word) return Verdict::unknown;
  if (is_alarm(*value.word)) return Verdict::different;
  const double p = healthy.p[static_cast<std::size_t>(*value.word)];
  return p >= kLikely ? Verdict::as_expected : Verdict::different;
}

std::optional<board::NetId> net_of(const observe::Point& point, const board::Machine& machine) {
  using At = observe::Point::At;
  if (point.at == At::net && point.net.known()) return point.net;
  if (point.at == At::leg && machine.pin(point.pin).net.known()) return machine.pin(point.pin).net;
  return std::nullopt;
}

}  // namespace halfsplit::app
