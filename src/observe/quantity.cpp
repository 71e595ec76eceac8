#include "observe/quantity.h"

#include <fmt/core.h>

#include <array>
#include <cmath>
#include <limits>

#include "base/text.h"

namespace halfsplit::observe {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();
enum class Limit { none, lower, upper };

struct LimitPhrase { std::array<std::string_view, 3> words; Limit limit; };
constexpr std::array kLimits = {
    LimitPhrase{{"no", "more", "than"}, Limit::upper}, LimitPhrase{{"not", "more", "than"}, Limit::upper}, LimitPhrase{{"no", "less", "than"}, Limit::lower},
    LimitPhrase{{"not", "less", "than"}, Limit::lower}, LimitPhrase{{"more", "than"}, Limit::lower},       LimitPhrase{{"greater", "than"}, Limit::lower},
    LimitPhrase{{"higher", "than"}, Limit::lower},      LimitPhrase{{"at", "least"}, Limit::lower},         LimitPhrase{{"less", "than"}, Limit::upper},
    LimitPhrase{{"lower", "than"}, Limit::upper},       LimitPhrase{{"at", "most"}, Limit::upper},          LimitPhrase{{"up", "to"}, Limit::upper},
    LimitPhrase{{"not", "over"}, Limit::upper},         LimitPhrase{{"not", "under"}, Limit::lower},        LimitPhrase{{"over"}, Limit::lower},
    LimitPhrase{{"above"}, Limit::lower},               LimitPhrase{{"exceeds"}, Limit::lower},             LimitPhrase{{"beyond"}, Limit::lower},
    LimitPhrase{{">"}, Limit::lower},                   LimitPhrase{{">="}, Limit::lower},                  LimitPhrase{{"min"}, Limit::lower},
    LimitPhrase{{"under"}, Limit::upper},               LimitPhrase{{"below"}, Limit::upper},               LimitPhrase{{"<"}, Limit::upper},
    LimitPhrase{{"<="}, Limit::upper},                  LimitPhrase{{"max"}, Limit::upper}};
constexpr std::array kLimitsBehind = {
    LimitPhrase{{"or", "more"}, Limit::lower},  LimitPhrase{{"or", "above"}, Limit::lower}, LimitPhrase{{"or", "higher"}, Limit::lower}, LimitPhrase{{"minimum"}, Limit::lower},
    LimitPhrase{{"min"}, Limit::lower},         LimitPhrase{{"or", "less"}, Limit::upper},  LimitPhrase{{"or", "below"}, Limit::upper},  LimitPhrase{{"or", "lower"}, Limit::upper},
    LimitPhrase{{"maximum"}, Limit::upper},     LimitPhrase{{"max"}, Limit::upper},         LimitPhrase{{"at", "most"}, Limit::upper},   LimitPhrase{{"at", "least"}, Limit::lower}};
constexpr std::array<std::string_view, 13> kAbout = {"~", "about", "ca", "circa", "approx", "approximately", "around", "roughly", "nearly", "almost", "some", "c", "maybe"};
constexpr std::array<std::string_view, 5> kAdorn = {"exactly", "just", "only", "a", "precisely"};

template <class Words>
bool one_of(const Typed& typed, std::size_t i, const Words& list) {
  for (const std::string_view word : list)
    if (typed.is(i, word)) return true;
  return false;
}

/// Takes a limit phrase at i, if there is one.
template <class Phrases>
Limit take_limit(const Typed& typed, std::size_t& i, const Phrases& phrases) {
  for (const LimitPhrase& phrase : phrases) {
    std::size_t n = 0;
    while (n < phrase.words.size() && !phrase.words[n].empty() && typed.is(i + n, phrase.words[n])) ++n;
    if (n < phrase.words.size() && !phrase.words[n].empty()) continue;
    i += n;
    return phrase.limit;
  }
  return Limit::none;
}

struct Head { bool about = false, minus = false, with_sign = false, between = false; Limit limit = Limit::none; };

/// The words before a number that change or adorn it.
Head take_head(const Typed& typed, std::size_t& i) {
  Head head;
  for (;;) {
    if (one_of(typed, i, kAbout)) { head.about = true; ++i; }
    else if (typed.is(i, "bang") && typed.is(i + 1, "on")) i += 2;
    else if (one_of(typed, i, kAdorn)) ++i;
    else if (typed.is(i, "minus") || typed.is(i, "negative") || typed.is(i, "neg")) { head.minus = head.with_sign = true; ++i; }
    else if (typed.is(i, "plus") || typed.is(i, "positive")) { head.with_sign = true; ++i; }
    else if (typed.is(i, "between") || typed.is(i, "from")) { head.between = true; ++i; }
    else if (const Limit limit = take_limit(typed, i, kLimits); limit != Limit::none) head.limit = limit;
    else return head;
  }
}

bool range_mark(const Typed& typed, std::size_t i, bool between) {
  return typed.is(i, "-") || typed.is(i, "..") || typed.is(i, "...") || typed.is(i, "to") || typed.is(i, "through") || (between && typed.is(i, "and"));
}

void turn(Amount& amount) {
  if (amount.negative) return;
  const double from = amount.from;
  amount.from = -amount.to;
  amount.to = -from;
  amount.negative = true;
}

Error doubtful(const Typed& typed, std::size_t i, const std::string& why) {
  return usage(fmt::format("'{}' can be read in two ways", typed.slice(i, i + 1)), why);
}

/// Both ends of a range get one unit.
Status share_unit(const Typed& typed, std::size_t i, Amount& a, Amount& b) {
  const bool a_bare = !a.has_unit(), b_bare = !b.has_unit();
  if (a_bare && !b_bare) give_unit(a, b.unit.written);
  if (b_bare && !a_bare) give_unit(b, a.unit.written);
  if (a.unit.implied != b.unit.implied && a.unit.unit != b.unit.unit) {
    Amount& prefix_only = a.unit.implied ? a : b;
    give_unit(prefix_only, symbol_of((a.unit.implied ? b : a).unit.unit));
  }
  if (a.unit.unit != b.unit.unit)
    return usage(fmt::format("'{}' has two different units", typed.slice(i, typed.size())), "type one reading at a time, both ends of a range in one unit: 5.2-5.3V");
  if (a_bare && a.low_si() > b.low_si() && a.low_si() >= 0)
    return usage(fmt::format("'{}' runs downwards", typed.slice(i, typed.size())), "give both ends of the range their unit: 500mV to 1.2V");
  if (a.low_si() > b.low_si()) std::swap(a, b);
  return Done{};
}

/// Takes "- 5.3V" behind the first end; `end_si` is set then.
Status take_range(const Typed& typed, std::size_t first, std::size_t& i, const Head& head, Amount& a, Quantity& out, std::optional<double>& end_si) {
  if (!range_mark(typed, i, head.between)) return Done{};
  std::size_t j = i + 1;
  const Head second = take_head(typed, j);
  if (!typed.number_at(j) || second.limit != Limit::none) return Done{};
  if (head.limit != Limit::none)
    return usage(fmt::format("'{}' is a limit and a range at once", typed.slice(first, j + 1)), "type over 2V, or 2..3V");
  Amount b = typed.at(j)->amount;
  if (second.minus) turn(b);
  if (auto shared = share_unit(typed, first, a, b); !shared) return shared;
  if (!b.why_doubtful().empty()) return doubtful(typed, j, b.why_doubtful());
  out.about |= second.about;
  out.whole = false;
  end_si = b.high_si();
  i = j + 1;
  return Done{};
}

/// "+/- 0.01", "+/- 5%"
Status take_tolerance(const Typed& typed, std::size_t& i, Amount& a) {
  if (!typed.is(i, "+/-") && !typed.is(i, "+-")) return Done{};
  if (!typed.number_at(i + 1)) return usage(fmt::format("'{}' lacks the tolerance behind +/-", typed.slice(0, i + 1)), "type 5V +/- 0.1V or 5V +/- 5%");
  Amount half = typed.at(i + 1)->amount;
  double spread = 0;
  if (half.unit.unit == Unit::percent) spread = std::abs(a.from) * half.to / 100;
  else {
    if (!half.has_unit() && a.has_unit()) give_unit(half, a.unit.written);
    else if (half.has_unit() && !a.has_unit()) give_unit(a, half.unit.written);
    if (half.unit.unit != a.unit.unit) return usage(fmt::format("'{}' has another unit than its tolerance", typed.slice(0, i + 2)), "type 5V +/- 0.1V");
    spread = half.high_si() / a.unit.scale;
  }
  if (!half.why_doubtful().empty()) return doubtful(typed, i + 1, half.why_doubtful());
  a.from -= spread;
  a.to += spread;
  i += 2;
  return Done{};
}

void take_behind(const Typed& typed, std::size_t& i, Amount& a, Head& head) {
  for (;;) {
    if (typed.is(i, "ish") || typed.is(i, "ca") || typed.is(i, "approx")) { head.about = true; ++i; }
    else if (typed.is(i, "-") && typed.is(i + 1, "ish")) { head.about = true; i += 2; }
    else if (typed.is(i, "or") && typed.is(i + 1, "so")) { head.about = true; i += 2; }
    else if (typed.is(i, "negative")) { turn(a); head.with_sign = true; ++i; }
    else if (typed.is(i, "positive")) { head.with_sign = true; ++i; }
    else if (const Limit limit = take_limit(typed, i, kLimitsBehind); limit != Limit::none) head.limit = limit;
    else return;
  }
}

}  // namespace

Result<std::optional<Quantity>> read_quantity(const Typed& typed, std::size_t i) {
  const std::size_t first = i;
  Head head = take_head(typed, i);
  if (!typed.number_at(i)) return std::optional<Quantity>{};
  const std::size_t at = i;
  Amount a = typed.at(i)->amount;
  const char sign = typed.at(i)->text.front();
  ++i;
  if (head.minus) turn(a);
  Quantity out;
  out.whole = a.whole && !a.has_unit() && !head.with_sign;
  std::optional<double> end_si;
  if (auto status = take_range(typed, first, i, head, a, out, end_si); !status) return status.error();
  if (auto status = take_tolerance(typed, i, a); !status) return status.error();
  take_behind(typed, i, a, head);
  if (!a.comma.empty())
    return usage(fmt::format("'{}' can be read in two ways: the comma may stand for the point or for thousands", typed.at(at)->text), "type it with a point and its unit: 4.925V, 4925mV");
  if (!a.why_doubtful().empty()) return doubtful(typed, at, a.why_doubtful());
  out.from = head.limit == Limit::upper ? -kInfinite : a.low_si();
  out.to = head.limit == Limit::lower ? kInfinite : end_si.value_or(a.high_si());
  out.unit = a.unit.unit;
  out.kind = a.unit.kind;
  out.about |= head.about;
  out.with_sign = head.with_sign || sign == '-' || sign == '+';
  out.implied = a.unit.implied;
  out.next = i;
  return std::optional<Quantity>{out};
}

Kind usual_kind(Unit unit) noexcept {
  switch (unit) {
    case Unit::volts: return Kind::volts_dc;
    case Unit::amps: return Kind::current;
    case Unit::ohms: return Kind::ohms;
    case Unit::hertz: return Kind::frequency;
    case Unit::seconds: return Kind::duration;
    case Unit::farads: return Kind::capacitance;
    case Unit::rpm: return Kind::speed;
    case Unit::percent: return Kind::look;
    case Unit::bytes:
    case Unit::plain: return Kind::count;
    case Unit::none: break;
  }
  return Kind::count;
}

namespace {

std::string shown_amount(double value, Unit unit) {
  switch (unit) {
    case Unit::rpm:
    case Unit::percent:
    case Unit::bytes: return shown(value, 10) + " " + symbol_of(unit);
    case Unit::plain:
    case Unit::none: return shown(value, 10);
    default: return shown_with_unit(value, symbol_of(unit), 7);
  }
}

}  // namespace

std::string shown_range(double from, double to, Unit unit) {
  if (std::isinf(to) && std::isinf(from)) return std::string("any number of ") + symbol_of(unit);
  if (std::isinf(to)) return "over " + shown_amount(from, unit);
  if (std::isinf(from)) return "under " + shown_amount(to, unit);
  if (from == to) return shown_amount(from, unit);
  return shown_amount(from, unit) + " to " + shown_amount(to, unit);
}

}  // namespace halfsplit::observe
