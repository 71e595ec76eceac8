#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <initializer_list>
#include <limits>
#include <utility>

#include "fault/predictor.h"

using namespace halfsplit;
using fault::log_likelihood;
using fault::log_misread;
using fault::Outcome;
using observe::Kind;
using observe::Unit;
using observe::Value;
using observe::Word;

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

Value word(Word which) {
  Value value;
  value.word = which;
  return value;
}
Value number(double from, double to, Unit unit) {
  Value value;
  value.from = from;
  value.to = to;
  value.unit = unit;
  return value;
}
Value volts(double v) { return number(v, v, Unit::volts); }
Outcome words(std::initializer_list<std::pair<Word, double>> list) {
  Outcome out;
  out.form = Outcome::Form::words;
  for (const auto& [which, p] : list) out.p[static_cast<std::size_t>(which)] = static_cast<float>(p);
  return out;
}
Outcome spread(double mean, double deviation, Unit unit = Unit::volts) {
  Outcome out;
  out.form = Outcome::Form::number;
  out.unit = unit;
  out.parts[0] = {1, static_cast<float>(mean), static_cast<float>(deviation)};
  return out;
}

/// Numeric integral of the density of exact readings.
double mass(double from, double to, double step, const std::function<double(double)>& log_density) {
  double total = 0;
  for (double x = from + step / 2; x < to; x += step) total += std::exp(log_density(x)) * step;
  return total;
}

}  // namespace

TEST_CASE("a word has its predicted probability and one that is ruled out stays possible") {
  const Outcome outcome = words({{Word::low, 0.7}, {Word::pulsing, 0.3}});
  CHECK(log_likelihood(word(Word::low), outcome, Kind::probe) == doctest::Approx(std::log(0.7)));
  CHECK(log_likelihood(word(Word::high), outcome, Kind::probe) < std::log(1e-9));
  CHECK(std::isfinite(log_likelihood(word(Word::high), outcome, Kind::probe)));
}

TEST_CASE("an abnormal function of unknown kind is any state but right") {
  const Outcome outcome = words({{Word::right, 0.1}, {Word::dead, 0.5}, {Word::wrong, 0.3}, {Word::weak, 0.1}});
  CHECK(log_likelihood(word(Word::bad), outcome, Kind::function) == doctest::Approx(std::log(0.9)));
  CHECK(log_misread(word(Word::bad), Kind::function) == doctest::Approx(std::log(0.8)));
}

TEST_CASE("no prediction says what a misreading says") {
  CHECK(log_likelihood(word(Word::low), Outcome{}, Kind::probe) == log_misread(word(Word::low), Kind::probe));
  CHECK(log_likelihood(volts(3.1), Outcome{}, Kind::volts_dc) == log_misread(volts(3.1), Kind::volts_dc));
}

TEST_CASE("misread words add up to one within a kind") {
  double logic = 0;
  for (const Word each : {Word::low, Word::high, Word::pulsing, Word::floating, Word::middle}) logic += std::exp(log_misread(word(each), Kind::probe));
  CHECK(logic == doctest::Approx(1));
  double warmth = 0;
  for (const Word each : {Word::cold, Word::normal, Word::warm, Word::hot}) warmth += std::exp(log_misread(word(each), Kind::touch));
  CHECK(warmth == doctest::Approx(1));
}

TEST_CASE("densities of exact readings add up to one") {
  const Outcome outcome = spread(3.4, 0.2);
  CHECK(mass(-20, 30, 0.001, [&](double x) { return log_likelihood(volts(x), outcome, Kind::volts_dc); }) == doctest::Approx(1).epsilon(0.002));
  CHECK(mass(-4000, 4000, 0.01, [](double x) { return log_misread(volts(x), Kind::volts_dc); }) == doctest::Approx(1).epsilon(0.005));
  // 0.8 only: an ohm meter may show overload instead of a number.
  const auto ohms = [](double log_ohms) { return log_misread(number(std::exp(log_ohms), std::exp(log_ohms), Unit::ohms), Kind::ohms) + log_ohms; };
  CHECK(mass(-12, 25, 0.001, ohms) == doctest::Approx(0.8).epsilon(0.005));
}

TEST_CASE("ranges and limits are the mass of the same spreads") {
  const Outcome outcome = spread(3.4, 0.2);
  const double within = mass(3, 4, 0.0005, [&](double x) { return log_likelihood(volts(x), outcome, Kind::volts_dc); });
  CHECK(std::exp(log_likelihood(number(3, 4, Unit::volts), outcome, Kind::volts_dc)) == doctest::Approx(within).epsilon(0.005));
  const double over = std::exp(log_likelihood(number(2, kInfinity, Unit::volts), outcome, Kind::volts_dc));
  const double under = std::exp(log_likelihood(number(-kInfinity, 2, Unit::volts), outcome, Kind::volts_dc));
  CHECK(over + under == doctest::Approx(1));
  CHECK(over > 0.98);
  const double misread_over = std::exp(log_misread(number(2, kInfinity, Unit::volts), Kind::volts_dc));
  const double misread_under = std::exp(log_misread(number(-kInfinity, 2, Unit::volts), Kind::volts_dc));
  CHECK(misread_over + misread_under == doctest::Approx(1));
}

TEST_CASE("far from the prediction the tails are heavy") {
  const Outcome outcome = spread(5, 0.05);
  const double at_six = log_likelihood(volts(6), outcome, Kind::volts_dc);
  CHECK(at_six < log_misread(volts(6), Kind::volts_dc));  // twenty deviations away: a misreading explains it better
  CHECK(at_six > -20);                                    // yet a normal alone would say -200
}

TEST_CASE("about widens what a figure is good to") {
  const Outcome outcome = spread(5, 0.02);
  Value exact = volts(4.6), about = volts(4.6);
  about.about = true;
  CHECK(log_likelihood(about, outcome, Kind::volts_dc) > log_likelihood(exact, outcome, Kind::volts_dc) + 1);
}

TEST_CASE("a mixture is the weighted sum of its parts") {
  Outcome outcome = spread(0.3, 0.1);
  outcome.parts[0].weight = 0.25F;
  outcome.parts[1] = {0.75F, 3.5F, 0.3F};
  const double low = std::exp(log_likelihood(volts(0.3), spread(0.3, 0.1), Kind::volts_dc));
  const double high = std::exp(log_likelihood(volts(0.3), spread(3.5, 0.3), Kind::volts_dc));
  CHECK(std::exp(log_likelihood(volts(0.3), outcome, Kind::volts_dc)) == doctest::Approx(0.25 * low + 0.75 * high));
}

TEST_CASE("a beep is a low resistance and the other way round") {
  const Outcome joined = spread(0.4, 0.3, Unit::ohms), apart = spread(4.7e3, 200, Unit::ohms), open = spread(1e8, 1e6, Unit::ohms);
  CHECK(log_likelihood(word(Word::beep), joined, Kind::continuity) > std::log(0.99));
  CHECK(log_likelihood(word(Word::beep), apart, Kind::continuity) < std::log(0.01));
  CHECK(log_likelihood(word(Word::overload), open, Kind::ohms) > std::log(0.99));
  const Outcome beep = words({{Word::beep, 0.95}, {Word::no_beep, 0.05}});
  CHECK(log_likelihood(number(1.6, 1.6, Unit::ohms), beep, Kind::continuity) > log_likelihood(number(1e4, 1e4, Unit::ohms), beep, Kind::continuity));
  const double split = std::exp(log_likelihood(number(0, kInfinity, Unit::ohms), beep, Kind::continuity));
  CHECK(split == doctest::Approx(1).epsilon(0.01));
}

TEST_CASE("volts and probe words are separate kinds and not mixed") {
  CHECK(log_likelihood(volts(0.1), words({{Word::low, 1}}), Kind::volts_dc) == log_misread(volts(0.1), Kind::volts_dc));
  CHECK(log_likelihood(word(Word::low), spread(0.1, 0.1), Kind::probe) == log_misread(word(Word::low), Kind::probe));
  CHECK(log_likelihood(number(5, 5, Unit::amps), spread(5, 0.1), Kind::current) == log_misread(number(5, 5, Unit::amps), Kind::current));
}

TEST_CASE("chances of all patterns of failing bits and of no report add up to one") {
  fault::Outcome outcome;
  outcome.form = fault::Outcome::Form::bits;
  outcome.width = 8;
  outcome.no_report = 0.1f;
  outcome.missed = 0.2f;
  for (int bit = 0; bit < 8; ++bit) outcome.p[static_cast<std::size_t>(bit)] = bit < 3 ? 0.5f : bit == 5 ? 0.99f : 0.004f;
  double sum = outcome.no_report;
  for (std::uint32_t failing = 0; failing < 256; ++failing) sum += fault::bits_probability(failing, outcome);
  CHECK(sum == doctest::Approx(1).epsilon(1e-6));
  CHECK(fault::bits_probability(0x20, outcome) > fault::bits_probability(0x40, outcome));
  CHECK(fault::bits_probability(0x100, outcome) == 0);
  CHECK(fault::sample_probability(0x20, 0x00, outcome) > fault::sample_probability(0x40, 0x00, outcome));
}

TEST_CASE("what a hypothesis leaves open is the same when it is read again") {
  const Outcome open = words({{Word::low, 0.5}, {Word::high, 0.5}});
  fault::Evidence first;
  first.value = word(Word::low);
  first.doubt = 0.02;
  const Outcome again = fault::narrowed(open, first);
  CHECK(std::exp(log_likelihood(word(Word::low), again, Kind::probe)) > 0.98);
  CHECK(std::exp(log_likelihood(word(Word::low), again, Kind::probe)) + std::exp(log_likelihood(word(Word::high), again, Kind::probe)) == doctest::Approx(1).epsilon(1e-6));
  const Outcome certain = words({{Word::high, 1}});
  CHECK(fault::narrowed(certain, first).p == certain.p);  // a misreading changes nothing that is certain
}

TEST_CASE("a reading that says which of two levels it is moves the weight of a number") {
  Outcome either = spread(0.2, 0.1);
  either.parts[0].weight = 0.5f;
  either.parts[1] = {0.5f, 4, 0.2f};
  fault::Evidence first;
  first.query.kind = Kind::volts_dc;
  first.value = volts(3.9);
  first.doubt = 0.02;
  const Outcome again = fault::narrowed(either, first);
  CHECK(again.parts[1].weight > 0.95f);
  CHECK(again.parts[0].weight + again.parts[1].weight == doctest::Approx(1).epsilon(1e-6));
}

TEST_CASE("a second memory report names the bits of the first") {
  Outcome bits;
  bits.form = Outcome::Form::bits;
  bits.width = 8;
  bits.no_report = 0.5f;
  for (std::size_t bit = 0; bit < 8; ++bit) bits.p[bit] = 0.5f;
  fault::Evidence first;
  first.query.kind = Kind::memory;
  first.value.failing = 0x08u;
  first.value.word = Word::wrong;
  first.doubt = 0.02;
  const Outcome again = fault::narrowed(bits, first);
  CHECK(again.no_report < 0.2f);
  CHECK(fault::bits_probability(0x08u, again) > 20 * fault::bits_probability(0x10u, again));
  first.value.failing.reset();
  first.value.word = Word::dead;
  CHECK(fault::narrowed(bits, first).no_report > 0.9f);
}
