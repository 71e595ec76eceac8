// Values in numbers: the unit gives the kind, words beside it correct it (AC, p-p, ripple, diode range); expected and found in one line.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/text.h"
#include "observe/quantity.h"
#include "observe/value_reader.h"

namespace halfsplit::observe {
namespace {

using Form = Result<std::optional<ParsedValue>>;
using Words = std::string_view;

struct Qualifier { std::array<Words, 3> words; std::optional<Kind> kind; };
/// Kind words beside a number; without a kind they are only skipped.
constexpr std::array kQualifiers = {
    Qualifier{{"peak", "to", "peak"}, Kind::swing}, Qualifier{{"peak to peak"}, Kind::swing}, Qualifier{{"p p"}, Kind::swing},       Qualifier{{"pp"}, Kind::swing},
    Qualifier{{"pk pk"}, Kind::swing},              Qualifier{{"swing"}, Kind::swing},        Qualifier{{"ac"}, Kind::volts_ac},      Qualifier{{"rms"}, Kind::volts_ac},
    Qualifier{{"dc"}, Kind::volts_dc},              Qualifier{{"ripple"}, Kind::ripple},      Qualifier{{"diode", "range"}, Kind::diode}, Qualifier{{"diode", "test"}, Kind::diode},
    Qualifier{{"diode", "mode"}, Kind::diode},      Qualifier{{"diode"}, Kind::diode},        Qualifier{{"diode drop"}, Kind::diode}, Qualifier{{"junction"}, Kind::diode},
    Qualifier{{"vf"}, Kind::diode},                 Qualifier{{"one", "way"}, Kind::diode},   Qualifier{{"forward", "drop"}, Kind::diode}, Qualifier{{"drop"}, Kind::diode}};
constexpr std::array<Words, 20> kBefore = {"voltage", "volts", "current", "draws", "drawing", "resistance", "frequency", "period", "width", "speed", "gain", "hfe", "beta", "clock", "pulses", "of",
                                          "measures", "is", "reads", "capacitance"};
constexpr std::array<Words, 5> kConnect = {"is", "reads", "was", "measures", "measured"};
constexpr std::array<Words, 6> kExpected = {"expected", "nominal", "wanted", "instead", "not", "should"};
constexpr std::array<Words, 6> kGot = {"got", "found", "saw", "gave", "actual", "have"};
constexpr std::array<Words, 14> kCounted = {"flashes", "flash", "beeps", "characters", "lines", "columns", "errors", "colours", "colors", "keys", "tones", "steps", "pages", "free"};

template <class List>
bool one_of(const Typed& typed, std::size_t i, const List& list) {
  return std::any_of(list.begin(), list.end(), [&](Words word) { return typed.is(i, word); });
}

/// One quantity and what the words beside it said.
struct Found {
  Quantity quantity;
  std::optional<Kind> kind;
  bool expected = false;
};

class NumberValue {
 public:
  NumberValue(const Typed& typed, std::size_t i, const ValueContext& context) : typed_(typed), i_(i), context_(context) {}

  Form read() {
    before();
    auto first = quantity();
    if (!first) return first.error();
    if (!first.value()) return std::optional<ParsedValue>{};
    if (const auto& quantity = first.value()->quantity; quantity.whole && share_follows(i_))
      return usage(fmt::format("'{}' understood as a share, but of what?", typed_.slice(quantity.next - 1, quantity.next + 2)), "type what was seen first: picture dead 3/10 starts, U5.8 low 3/10");
    found_.push_back(std::move(*first.value()));
    if (Status rest = behind(); !rest) return rest.error();
    return settle();
  }
  std::size_t next() const { return i_; }

 private:
  /// Words that may open a number: "hFE 2", "expected 5V", "draws 650mA".
  void before() {
    for (;; ++i_) {
      if (typed_.is(i_, "hfe") || typed_.is(i_, "gain") || typed_.is(i_, "beta")) gain_ = true;
      if (typed_.is(i_, "esr")) esr_ = true;
      if (one_of(typed_, i_, kExpected) && !typed_.is(i_, "not")) expected_ = true;
      else if (one_of(typed_, i_, kGot)) expected_ = false;
      else if (take_qualifier(kind_)) { --i_; continue; }
      else if (!one_of(typed_, i_, kBefore) && !typed_.is(i_, "esr") && !typed_.is(i_, ":") && !typed_.is(i_, "=")) return;
    }
  }

  bool take_qualifier(std::optional<Kind>& kind) {
    for (const Qualifier& qualifier : kQualifiers) {
      std::size_t n = 0;
      while (n < 3 && !qualifier.words[n].empty() && typed_.is(i_ + n, qualifier.words[n])) ++n;
      if (n < 3 && !qualifier.words[n].empty()) continue;
      if (!(kind == Kind::swing && qualifier.kind == Kind::volts_ac)) kind = qualifier.kind;  // "AC p-p" is a swing
      i_ += n;
      return true;
    }
    return false;
  }

  Result<std::optional<Found>> quantity() {
    auto read = read_quantity(typed_, i_);
    if (!read) return read.error();
    if (!read.value()) return std::optional<Found>{};
    Found found{*read.value(), read.value()->kind, expected_};
    expected_ = false;
    i_ = found.quantity.next;
    return std::optional<Found>{found};
  }

  bool share_follows(std::size_t i) const {
    const bool joint = typed_.is(i, "/") || typed_.is(i, "of") || typed_.is(i, "in") || (typed_.is(i, "out") && typed_.is(i + 1, "of"));
    const Token* second = typed_.at(typed_.is(i, "out") ? i + 2 : i + 1);
    return joint && second != nullptr && second->kind == Token::Kind::number && second->amount.whole && !second->amount.has_unit();
  }

  bool bracket(std::size_t i) const { return typed_.is(i, "(") || typed_.is(i, ",") || typed_.is(i, ";"); }

  /// Position of a quantity with a unit within the next words of one clause, or nothing.
  std::optional<std::size_t> quantity_ahead(std::size_t from) const {
    constexpr std::size_t kFar = 5;
    for (std::size_t j = from; j < typed_.size() && j < from + kFar; ++j)
      if (const auto read = read_quantity(typed_, j); read && read.value() && read.value()->unit != Unit::none) return j;
    return std::nullopt;
  }

  /// "5V expected" stands at i.
  bool expected_behind(std::size_t i) const {
    const auto read = read_quantity(typed_, i);
    if (!read || !read.value()) return false;
    const std::size_t next = read.value()->next;
    return typed_.is(next, "expected") || typed_.is(next, "nominal") || (typed_.is(next, "is") && typed_.is(next + 1, "expected"));
  }

  /// What follows the first quantity, as long as it belongs to it.
  Status behind() {
    while (i_ < typed_.size()) {
      const std::size_t here = i_;
      const std::size_t inner = bracket(i_) ? i_ + 1 : i_;
      i_ = inner;
      if (take_qualifier(found_.back().kind)) {
        if (typed_.is(i_, ")")) ++i_;
        continue;
      }
      if (auto more = second(); !more) return more.error();
      else if (more.value()) continue;
      if (rating()) continue;
      if (counted()) continue;
      i_ = here;
      return Done{};
    }
    return Done{};
  }

  /// Another quantity that makes a pair of expected and found with the first.
  Result<bool> second() {
    if (typed_.is(i_, "is") && typed_.is(i_ + 1, "expected")) ++i_;
    if ((typed_.is(i_, "expected") || typed_.is(i_, "nominal")) && !quantity_ahead(i_ + 1)) {
      found_.back().expected = true;
      ++i_;
      if (typed_.is(i_, ",")) ++i_;
      if (found_.size() == 1 && (typed_.is(i_, "high") || typed_.is(i_, "low") || typed_.is(i_, "too"))) return limit_word();
      return true;
    }
    if (found_.size() > 1) return false;
    const bool connect = one_of(typed_, i_, kConnect) || typed_.is(i_, "->") || typed_.is(i_, "=") || typed_.is(i_, ":");
    const bool expected = one_of(typed_, i_, kExpected);
    const bool got = one_of(typed_, i_, kGot);
    const bool plain = (found_.front().expected && typed_.number_at(i_)) || expected_behind(i_);
    if (!connect && !expected && !got && !plain) return false;
    const auto ahead = quantity_ahead(plain ? i_ : i_ + 1);
    if (!ahead) return false;
    if (connect || got) found_.front().expected = true;
    const std::string between = connect && typed_.is(i_, ":") ? typed_.slice(i_ + 1, *ahead) : std::string();
    expected_ = expected;
    i_ = *ahead;
    auto next = quantity();
    if (!next) return next.error();
    found_.push_back(std::move(*next.value()));
    if (const std::string words = std::string(trim(between.substr(0, between.find('(')))); !words.empty()) note_ = words;
    if (typed_.is(i_, ")")) ++i_;
    return true;
  }

  /// "170 ohms expected, high".
  Result<bool> limit_word() {
    if (typed_.is(i_, "too")) ++i_;
    const bool high = typed_.is(i_, "high");
    if (!high && !typed_.is(i_, "low")) return true;
    ++i_;
    Found found = found_.front();
    constexpr double kInfinite = std::numeric_limits<double>::infinity();
    (high ? found.quantity.from : found.quantity.to) = high ? found.quantity.to : found.quantity.from;
    (high ? found.quantity.to : found.quantity.from) = high ? kInfinite : -kInfinite;
    found.expected = false;
    found_.push_back(found);
    return true;
  }

  /// "47uF 25V": the volts are what is printed on the part.
  bool rating() {
    if (found_.size() != 1 || found_.front().quantity.unit != Unit::farads) return false;
    if (typed_.is(i_, "/") || typed_.is(i_, "@")) ++i_;
    const auto read = read_quantity(typed_, i_);
    if (!read || !read.value() || read.value()->unit != Unit::volts) return false;
    note_ = typed_.slice(i_, read.value()->next) + " rated";
    i_ = read.value()->next;
    return true;
  }

  /// "796 bytes free", "3 flashes", "16k free".
  bool counted() {
    if (!one_of(typed_, i_, kCounted)) return false;
    Quantity& quantity = found_.back().quantity;
    if (quantity.unit == Unit::ohms && quantity.implied && typed_.is(i_, "free")) {
      quantity.from *= 1.024;
      quantity.to *= 1.024;
      quantity.unit = Unit::bytes;
    }
    if (quantity.unit != Unit::none && quantity.unit != Unit::bytes) return false;
    if (typed_.is(i_, "free")) quantity.unit = Unit::bytes;
    note_ = typed_.slice(i_, i_ + 1);
    counted_ = true;
    ++i_;
    return true;
  }

  Form settle() {
    const Found* expected = nullptr;
    const Found* found = nullptr;
    for (const Found& one : found_) (one.expected ? expected : found) = &one;
    if (found == nullptr)
      return usage(fmt::format("{} understood as what is expected, but not what was found", shown_range(expected->quantity.from, expected->quantity.to, expected->quantity.unit)),
                   "type both: 4.2V, 5V expected");
    if (expected != nullptr && expected->quantity.unit != found->quantity.unit)
      return usage(fmt::format("'{}' has two values with different units", typed_.text()), "type one value a line");
    ParsedValue out;
    out.value.note = note_;
    if (expected != nullptr) {
      const std::string text = "expected " + shown_range(expected->quantity.from, expected->quantity.to, expected->quantity.unit);
      out.value.note = note_.empty() ? text : note_ + ", " + text;
    }
    if (esr_) return usage("ESR understood; it is not a resistance that a meter would read", "type the verdict of the tester: C12 failed, C12 passed");
    std::optional<Kind> kind = found->kind;
    if (!kind && expected != nullptr) kind = expected->kind;
    if (!kind) kind = kind_;
    return with_unit(*found, kind, std::move(out));
  }

  Form with_unit(const Found& found, std::optional<Kind> kind, ParsedValue out) {
    const Quantity& quantity = found.quantity;
    out.value.from = quantity.from;
    out.value.to = quantity.to;
    out.value.unit = quantity.unit;
    out.value.about = quantity.about;
    if (gain_) {
      if (quantity.unit != Unit::none) return usage("a gain has no unit", "type hFE 120");
      out.kind = Kind::gain;
      out.value.unit = Unit::plain;
      return std::optional<ParsedValue>{out};
    }
    if (quantity.unit == Unit::none) return bare(quantity, std::move(out));
    out.kind = usual_kind(quantity.unit);
    const bool volts_word = kind && (*kind == Kind::swing || *kind == Kind::ripple || *kind == Kind::diode || *kind == Kind::volts_ac || *kind == Kind::volts_dc);
    if (volts_word && quantity.unit == Unit::amps && (*kind == Kind::volts_ac || *kind == Kind::volts_dc)) kind.reset();
    if (kind && volts_word && quantity.unit != Unit::volts && quantity.unit != Unit::ohms)
      return usage(fmt::format("{} understood, but not as {}", describe(out.value), observe::name_of(*kind)), "type volts: 20mV ripple, 12V p-p, 0.5V diode");
    if (kind && quantity.unit == Unit::volts) out.kind = *kind;
    return std::optional<ParsedValue>{out};
  }

  /// A number without a unit: a level, a count, or volts where a sign was written; else it is asked.
  Form bare(const Quantity& quantity, ParsedValue out) {
    const std::string text = shown_range(quantity.from, quantity.to, Unit::plain);
    if (quantity.with_sign && !counted_) {
      out.kind = Kind::volts_dc;
      out.value.unit = Unit::volts;
      return std::optional<ParsedValue>{out};
    }
    const bool level = quantity.whole && (quantity.from == 0 || quantity.from == 1) && (context_.where & kLine) != 0 && !counted_;
    if (level) {
      ParsedValue word = out;
      word.value = Value{};
      word.value.note = out.value.note;
      word.kind = Kind::probe;
      word.value.word = quantity.from == 0 ? Word::low : Word::high;
      return std::optional<ParsedValue>{word};
    }
    if ((quantity.whole || counted_) && (context_.where & (kFunction | kMachine)) != 0) {
      out.kind = Kind::count;
      out.value.unit = Unit::plain;
      return std::optional<ParsedValue>{out};
    }
    return usage(fmt::format("{} understood as a number, but of what?", text), fmt::format("type its unit: {0}V, {0}mA, {0}R, {0}k, {0}MHz, {0}us", shown(quantity.to == quantity.to && std::isfinite(quantity.to) ? quantity.to : quantity.from)));
  }

  const Typed& typed_;
  std::size_t i_;
  const ValueContext& context_;
  std::vector<Found> found_;
  std::string note_;
  std::optional<Kind> kind_;
  bool gain_ = false, esr_ = false, expected_ = false, counted_ = false;
};

}  // namespace

Form read_number_value(const Typed& typed, std::size_t& i, const ValueContext& context) {
  NumberValue reader(typed, i, context);
  Form form = reader.read();
  if (form && form.value()) i = reader.next();
  return form;
}

Form read_short(const Typed& typed, std::size_t& i) {
  constexpr std::array<std::array<Words, 2>, 9> kShorts = {{{"dead", "short"}, {"short", "circuit"}, {"zero", "resistance"}, {"no", "resistance"}, {"zero", "ohms"}, {"zero", "ohm"}, {"shorted", ""}, {"short", ""}, {"dead short", ""}}};
  for (const auto& [first, second] : kShorts) {
    if (!typed.is(i, first) || (!second.empty() && !typed.is(i + 1, second))) continue;
    const std::size_t n = second.empty() ? 1 : 2;
    ParsedValue out;
    out.kind = Kind::ohms;
    out.value.unit = Unit::ohms;
    out.value.to = first == "zero" || first == "no" ? 0 : 1;  // a short reads the leads and the joint
    out.value.note = typed.slice(i, i + n);
    i += n;
    return std::optional<ParsedValue>{out};
  }
  return std::optional<ParsedValue>{};
}

}  // namespace halfsplit::observe
