#include "circuit/solver.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"

using namespace halfsplit;
using namespace halfsplit::circuit;

namespace {

Resistor ohms(double value, double spread = 0) { return {1 / value, spread}; }
Device three(NodeIndex a, NodeIndex b, NodeIndex c, Law law) {
  Device out;
  out.law = std::move(law);
  out.node = {a, b, c};
  out.terminals = 3;
  return out;
}

/// A board in small: 9 V raw, regulator, a divider, a lamp driver, a zener reference; random loads.
struct Bench {
  Network network;
  NodeIndex raw, five, divided, base, collector, lit, reference;
  DeviceIndex supply, regulator, upper, lower, driver, zener, fuse;
  Bench() {
    raw = network.add_node();
    five = network.add_node();
    divided = network.add_node();
    base = network.add_node();
    collector = network.add_node();
    lit = network.add_node();
    reference = network.add_node();
    const NodeIndex plug = network.add_node();
    supply = network.add(between(plug, kGround, Source{9, 0.3, 0, 0.1}));
    fuse = network.add(between(plug, raw, ohms(0.05)));
    network.devices[fuse].fuse_a = 1.0;
    regulator = network.add(three(raw, five, kGround, Regulator{}));
    upper = network.add(between(five, divided, ohms(10e3, 0.02)));
    lower = network.add(between(divided, kGround, ohms(22e3, 0.02)));
    network.add(between(five, base, ohms(4.7e3)));
    driver = network.add(three(collector, base, kGround, Bipolar{}));
    network.add(between(five, lit, ohms(330)));
    network.add(between(lit, collector, Junction{1e-18, 0.049, 5}));
    network.add(between(raw, reference, ohms(1e3)));
    zener = network.add(between(kGround, reference, Junction{4e-10, 0.04, 0.8, breakdown_from(5.1, 8), 8}));
  }
};

/// Largest sum of currents at any node.
double imbalance(const Network& network, const Patch& patch, const std::vector<double>& volts) {
  std::vector<double> sum(network.nodes, 0);
  std::vector<Device> all = network.devices;
  for (const auto& change : patch.changes) all[change.device].law = change.law;
  all.insert(all.end(), patch.added.begin(), patch.added.end());
  for (const Device& each : all) {
    std::array<double, kMostTerminals> v{};
    for (std::size_t i = 0; i < each.terminals; ++i) v[i] = volts[each.node[i]];
    Memory memory;
    Response response;
    evaluate(each, v, memory, true, response);
    for (std::size_t i = 0; i < each.terminals; ++i) sum[each.node[i]] += response.current[i];
  }
  double most = 0;
  for (NodeIndex n = 1; n < network.nodes; ++n) most = std::max(most, std::abs(sum[n] + kLeakSiemens * volts[n]));
  return most;
}

}  // namespace

TEST_CASE("a board in small stands where its parts say") {
  const Bench b;
  Solver solver(b.network);
  REQUIRE(solver.healthy().solved);
  const auto& v = solver.healthy().volts;
  CHECK(v[b.five] == doctest::Approx(5.0).epsilon(0.001));
  CHECK(v[b.divided] == doctest::Approx(5.0 * 22 / 32).epsilon(0.001));
  CHECK(v[b.base] == doctest::Approx(0.68).epsilon(0.1));
  CHECK(v[b.collector] < 0.1);
  CHECK(v[b.reference] == doctest::Approx(5.13).epsilon(0.02));
  CHECK(imbalance(b.network, {}, v) < 1e-9);
}

TEST_CASE("faults change what they should and nothing is left over") {
  const Bench b;
  Solver solver(b.network);
  const auto volts = [&](Law law, DeviceIndex device) {
    Patch patch;
    patch.changes.push_back({device, std::move(law)});
    const Solution it = solver.solve(patch);
    REQUIRE(it.solved);
    CHECK(imbalance(b.network, patch, it.volts) < 1e-7);
    return it.volts;
  };
  CHECK(volts(Nothing{}, b.lower)[b.divided] > 4.98);
  CHECK(volts(ohms(1), b.lower)[b.divided] < 1e-3);
  CHECK(volts(Nothing{}, b.driver)[b.lit] > 3.3);
  CHECK(volts(Nothing{}, b.zener)[b.reference] > 8.9);
  CHECK(std::abs(volts(Nothing{}, b.supply)[b.five]) < 1e-6);
  CHECK(volts(Nothing{}, b.regulator)[b.five] < 1);
}

TEST_CASE("a fuse opens under a short and only then") {
  const Bench b;
  Solver solver(b.network);
  Patch patch;
  patch.changes.push_back({b.upper, ohms(100)});
  CHECK(solver.solve(patch).volts[b.raw] > 8.5);
  patch.added.push_back(between(b.raw, kGround, ohms(0.2)));
  const Solution it = solver.solve(patch);
  REQUIRE(it.solved);
  CHECK(it.volts[b.raw] < 0.01);
}

TEST_CASE("a bridge between nodes that nothing joins is solved with a pattern of its own") {
  const Bench b;
  Solver solver(b.network);
  Patch patch;
  patch.added.push_back(between(b.divided, b.reference, ohms(0.05)));
  const Solution it = solver.solve(patch);
  REQUIRE(it.solved);
  CHECK(it.volts[b.divided] == doctest::Approx(it.volts[b.reference]).epsilon(0.001));
  CHECK(solver.seen_from(b.divided)[b.divided] < 20);
  CHECK(solver.solve({}).volts[b.divided] == doctest::Approx(solver.healthy().volts[b.divided]));
}

TEST_CASE("source resistance and spread of a divider are those of the textbook") {
  Network network;
  const NodeIndex top = network.add_node(), tap = network.add_node();
  network.add(between(top, kGround, Source{5, 1e-3, 0, 0}));
  network.add(between(top, tap, ohms(10e3, 0.01)));
  network.add(between(tap, kGround, ohms(10e3, 0.01)));
  Solver solver(network);
  const auto seen = solver.seen_from(tap);
  CHECK(seen[tap] == doctest::Approx(5e3).epsilon(1e-3));
  CHECK(solver.spread(seen) == doctest::Approx(2.5 * 0.01 / std::sqrt(2.0)).epsilon(1e-3));
  CHECK(-solver.current_into(0) == doctest::Approx(2.5e-4).epsilon(1e-3));
}

TEST_CASE("a patched circuit is the circuit built so") {
  Random random(7);
  for (int trial = 0; trial < 30; ++trial) {
    Network network;
    for (int i = 0; i < 12; ++i) network.add_node();
    const auto node = [&] { return static_cast<NodeIndex>(random.below(13)); };
    network.add(between(1, kGround, Source{9, 0.5, 0, 0}));
    for (int i = 0; i < 24; ++i) {
      const NodeIndex a = node(), b = node(), c = node();
      if (a == b || b == c || a == c) continue;
      const double pick = random.uniform();
      if (pick < 0.55) network.add(between(a, b, ohms(std::pow(10, 1 + 4 * random.uniform()))));
      else if (pick < 0.75) network.add(between(a, b, Junction{4e-9, 0.05, 0.6}));
      else network.add(three(a, b, c, Bipolar{1e-14, 150, 4, random.chance(0.5) ? 1.0 : -1.0}));
    }
    Solver solver(network);
    INFO("trial " << trial);
    REQUIRE(solver.healthy().solved);
    for (DeviceIndex d = 1; d < network.devices.size(); ++d) {
      Patch patch;
      patch.changes.push_back({d, random.chance(0.5) ? Law(Nothing{}) : Law(ohms(0.5))});
      if (!std::holds_alternative<Nothing>(patch.changes[0].law) && network.devices[d].terminals == 3) continue;
      const Solution warm = solver.solve(patch);
      Network built = network;
      built.devices[d].law = patch.changes[0].law;
      Solver cold(built);
      REQUIRE(warm.solved);
      REQUIRE(cold.healthy().solved);
      CHECK(imbalance(network, patch, warm.volts) < 1e-7);
      double most = 0;
      for (NodeIndex n = 0; n < network.nodes; ++n) most = std::max(most, std::abs(warm.volts[n] - cold.healthy().volts[n]));
      INFO("device " << d);
      CHECK(most < 1e-4);
    }
  }
}

TEST_CASE("a change that carries no current disturbs nothing") {
  const Bench b;
  Solver solver(b.network);
  Patch patch;
  patch.changes.push_back({b.lower, Resistor{0.5, 0}});
  const std::vector<double> nothing(b.network.nodes, 0);
  CHECK(solver.disturbance(patch, nothing) == 0);
  CHECK(solver.disturbance(patch, solver.healthy().volts) > 1);
}
