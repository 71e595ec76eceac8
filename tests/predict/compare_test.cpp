#include "predict/compare.h"

#include <doctest/doctest.h>

using namespace halfsplit;
using fault::Outcome;
using observe::Word;
using How = observe::Relative::How;

namespace {

Outcome volts(double mean, double deviation) {
  Outcome out;
  out.form = Outcome::Form::number;
  out.unit = observe::Unit::volts;
  out.parts[0] = {1, static_cast<float>(mean), static_cast<float>(deviation)};
  return out;
}
Outcome word(Word which) {
  Outcome out;
  out.form = Outcome::Form::words;
  out.p[static_cast<std::size_t>(which)] = 1;
  return out;
}
double chance(How how, const Outcome& here, const Outcome& there, bool alike = false) { return predict::comparison_probability(how, here, there, alike).value(); }

}  // namespace

TEST_CASE("a weak line is weaker than a good one and not the same") {
  const Outcome weak = volts(1.3, 0.3), good = volts(3.4, 0.4);
  CHECK(chance(How::weaker, weak, good) > 0.95);
  CHECK(chance(How::half, weak, good) > 0.5);
  CHECK(chance(How::same, weak, good) < 0.1);
  CHECK(chance(How::stronger, good, weak) > 0.95);
  CHECK(chance(How::different, good, weak) > 0.9);
}

TEST_CASE("two points that nothing sets apart are told to be the same") {
  const Outcome good = volts(2, 1);
  CHECK(chance(How::same, good, good, true) > 0.9);
  CHECK(chance(How::weaker, good, good, true) < 0.05);
  CHECK(chance(How::same, good, good) < 0.5);  // independent points with a broad spread seldom agree
}

TEST_CASE("words agree or differ and warmth has an order") {
  CHECK(chance(How::same, word(Word::pulsing), word(Word::pulsing)) > 0.98);
  CHECK(chance(How::different, word(Word::pulsing), word(Word::low)) > 0.98);
  CHECK(chance(How::stronger, word(Word::hot), word(Word::normal)) > 0.98);
  CHECK(chance(How::weaker, word(Word::weak), word(Word::right)) > 0.98);
}

TEST_CASE("nothing is said where one side is not predicted or the units differ") {
  Outcome amps = volts(1, 1);
  amps.unit = observe::Unit::amps;
  CHECK_FALSE(predict::comparison_probability(How::same, volts(1, 1), Outcome(), false));
  CHECK_FALSE(predict::comparison_probability(How::same, volts(1, 1), amps, false));
  CHECK_FALSE(predict::comparison_probability(How::same, volts(1, 1), word(Word::low), false));
}

TEST_CASE("a good machine narrows what is expected and leaves a tenth open") {
  observe::Value good;
  good.unit = observe::Unit::volts;
  good.from = good.to = 2.8;
  const Outcome broad = volts(2, 1), narrow = predict::as_on_good(broad, good);
  observe::Value read = good;
  CHECK(fault::log_likelihood(read, narrow, observe::Kind::volts_dc) > fault::log_likelihood(read, broad, observe::Kind::volts_dc) + 0.5);
  read.from = read.to = 1.2;
  CHECK(fault::log_likelihood(read, narrow, observe::Kind::volts_dc) < fault::log_likelihood(read, broad, observe::Kind::volts_dc) - 1);
  CHECK(fault::log_likelihood(read, narrow, observe::Kind::volts_dc) > -8);
}
