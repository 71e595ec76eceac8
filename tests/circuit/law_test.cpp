#include "circuit/law.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "base/random.h"

using namespace halfsplit;
using namespace halfsplit::circuit;

namespace {

using Volts5 = std::array<double, kMostTerminals>;

Device device(Law law, std::uint8_t terminals) {
  Device out;
  out.law = std::move(law);
  out.terminals = terminals;
  return out;
}
Response at(const Device& d, const Volts5& volts) {
  Memory memory;
  Response out;
  evaluate(d, volts, memory, true, out);
  return out;
}

/// Slopes against differences of the currents; currents sum to nothing.
void check_slopes(const Device& d, const Volts5& volts) {
  const Response here = at(d, volts);
  double sum = 0;
  for (const double amps : here.current) sum += amps;
  CHECK(std::abs(sum) < 1e-9 * (1 + std::abs(here.current[0])));
  for (std::size_t j = 0; j < d.terminals; ++j) {
    constexpr double step = 1e-6;
    Volts5 up = volts, down = volts;
    up[j] += step;
    down[j] -= step;
    const Response above = at(d, up), below = at(d, down);
    for (std::size_t i = 0; i < d.terminals; ++i) {
      const double measured = (above.current[i] - below.current[i]) / (2 * step);
      INFO("current " << i << " by volts of " << j << ": " << measured << " told " << here.slope[i][j]);
      CHECK(std::abs(measured - here.slope[i][j]) < 1e-3 * std::abs(measured) + 1e-6);
    }
  }
}

double unit(Random& random) { return random.uniform(); }

}  // namespace

TEST_CASE("slopes of every law are the differences of its currents") {
  const std::pair<const char*, Device> all[] = {
      {"resistor", device(Resistor{0.01, 0}, 2)},
      {"source", device(Source{5, 0.1, 0, 0}, 2)},
      {"limited source", device(Source{5, 1, 0.5, 0}, 2)},
      {"diode", device(Junction{4e-9, 0.05, 0.6}, 2)},
      {"zener", device(Junction{4e-10, 0.04, 0.8, 3.3, 8}, 2)},
      {"npn", device(Bipolar{1e-14, 200, 4, 1}, 3)},
      {"pnp", device(Bipolar{1e-14, 200, 4, -1}, 3)},
      {"channel", device(Channel{0.05, 2, 1}, 3)},
      {"p channel", device(Channel{0.05, 2, -1}, 3)},
      {"regulator", device(Regulator{}, 3)},
      {"negative regulator", device(Regulator{12, 0.05, 1.5, 1, 10, 0.004, -1}, 3)},
      {"load", device(Load{0.05, 5, 2, 4, 3000}, 2)},
      {"low output", device(Stage{Drive::low}, 3)},
      {"high output", device(Stage{Drive::high}, 3)},
      {"cmos high", device(Stage{Drive::high, true, true}, 3)},
      {"moving output", device(Stage{Drive::moving}, 3)},
      {"ttl input", device(Stage{Drive::off, false, false, 2, 4, 4000}, 3)},
      {"amplifier", device(Amplifier{200}, 5)},
      {"comparator", device(Amplifier{200, 60, 1.5, 0.1, 1.5, 3, 0.003, true}, 5)},
  };
  Random random(41);
  for (const auto& [name, d] : all) {
    INFO(std::string(name));
    for (int k = 0; k < 40; ++k) {
      Volts5 v{};
      const bool junctions = std::holds_alternative<Bipolar>(d.law);
      for (std::size_t i = 0; i < d.terminals; ++i) v[i] = junctions ? 0.75 * unit(random) : 10 * unit(random) - 2;
      if (std::holds_alternative<Amplifier>(d.law)) { v[1] = v[0] + 0.02 * unit(random) - 0.01; v[3] = 5 + unit(random); v[4] = 0.2 * unit(random); }
      check_slopes(d, v);
    }
  }
}

TEST_CASE("a diode with series resistance solves its own equation") {
  for (const double volts : {-3.0, -0.1, 0.0, 0.2, 0.6, 0.9, 2.0, 12.0}) {
    const Branch it = junction_current(volts, 4e-9, 0.0494, 0.6);
    const double inner = volts - it.current * 0.6;
    CHECK(it.current == doctest::Approx(4e-9 * (std::exp(inner / 0.0494) - 1)).epsilon(1e-6));
  }
  CHECK(junction_current(0.62, 4e-9, 1.9 * kThermalVolts, 0.6).current == doctest::Approx(0.0012).epsilon(0.1));
}

TEST_CASE("a regulator holds its volts until dropout or limit or power end it") {
  const Device d = device(Regulator{5, 0.02, 2, 1.5, 15, 0.005, 1}, 3);
  CHECK(-at(d, {9, 4.99, 0}).current[1] == doctest::Approx(0.5).epsilon(0.02));
  CHECK(-at(d, {9, 5.2, 0}).current[1] < 1e-3);                                        // above its set-point it gives nothing
  CHECK(-at(d, {6, 3.95, 0}).current[1] == doctest::Approx(0.25).epsilon(0.05));       // 50 mV of room through the pass element
  CHECK(-at(d, {9, 1, 0}).current[1] == doctest::Approx(1.5).epsilon(0.02));           // limit
  CHECK(-at(d, {30, 0, 0}).current[1] == doctest::Approx(0.5).epsilon(0.05));          // 15 W
  CHECK(at(d, {0, 5, 0}).current[1] > 0.1);                                            // fed backwards: through it
}

TEST_CASE("an output gives what its family can") {
  Stage high{Drive::high};
  high.high_drop_v = 1.4;
  high.high_ohm = 110;
  CHECK(-at(device(high, 3), {3.6, 5, 0}).current[0] < 2e-4);
  CHECK(-at(device(high, 3), {0, 5, 0}).current[0] == doctest::Approx(3.6 / 110).epsilon(0.02));
  CHECK(std::abs(at(device(high, 3), {0, 1, 0}).current[0]) < 1e-9);                   // no supply: nothing
  Stage low{Drive::low};
  CHECK(at(device(low, 3), {0.35, 5, 0}).current[0] == doctest::Approx(0.01).epsilon(0.03));
  CHECK(at(device(low, 3), {4, 5, 0}).current[0] < 0.061);                             // its limit
}

TEST_CASE("a small step of volts is not limited and a large one lands where the predicted current says") {
  const Device d = device(Junction{4e-9, 0.05, 0.6}, 2);
  Memory memory;
  memory.at[0] = 0.6;
  Response out;
  evaluate(d, {5, 0}, memory, false, out);
  CHECK_FALSE(out.settled);
  CHECK(memory.at[0] < 1.2);
  CHECK(memory.at[0] > 0.6);
  evaluate(d, {memory.at[0], 0}, memory, false, out);
  CHECK(out.settled);
}

TEST_CASE("tolerances act as currents between the ends") {
  const Device d = device(Resistor{0.001, 0.02}, 2);
  std::vector<Perturbation> out;
  perturbations(d, {5, 0}, at(d, {5, 0}), out);
  REQUIRE(out.size() == 1);
  CHECK(out[0].amps == doctest::Approx(1e-4));
}
