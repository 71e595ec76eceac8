#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "bench.h"
#include "circuit/elaborate.h"
#include "circuit/overlay.h"
#include "circuit/solver.h"

using namespace halfsplit;
using namespace halfsplit::circuit;

namespace {

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  Circuit circuit;
  std::unique_ptr<Solver> solver;
  explicit Bench(std::shared_ptr<const board::Machine> of) : machine(std::move(of)), circuit(elaborate(*machine)) {
    levels.assign(machine->nets().size(), Drive::off);
    solver = std::make_unique<Solver>(circuit.network);
  }
  double at(const std::string& net, const std::vector<double>& volts) const { return volts[*circuit.net_node[machine->find_net(net)->index()]]; }
  double healthy(const std::string& net) const { return at(net, solver->healthy().volts); }
  std::vector<double> under(const std::string& part, const std::string& mode, std::size_t strength = 1, const board::Setup& setup = {}) {
    const auto catalogue = fault::Catalogue::build(*machine);
    for (const fault::Fault& f : catalogue.faults())
      if (f.mode == mode && f.site.part.known() && machine->part(f.site.part).ref == part) {
        const Solution it = solver->solve(overlay(circuit, {&setup, {&f}, nullptr}, strength, levels, true));
        REQUIRE(it.solved);
        return it.volts;
      }
    FAIL("no such fault: " << part << " " << mode);
    return {};
  }
  Levels levels;
};

constexpr char kParts[] =
    "R1 = \"resistor 10k\"\nR2 = \"resistor 22k\"\nR3 = \"resistor 330\"\nD1 = \"led\"\nQ1 = \"npn\"\nR4 = \"resistor 4.7k\"\n"
    "D2 = { type = \"diode-zener\", value = \"3V3\" }\nR5 = \"resistor 470\"\nC1 = \"capacitor-polarised 100u\"\nSW1 = \"switch\"\nR6 = \"resistor 1k\"\n";
constexpr char kNets[] =
    "\"+5V\" = \"R1.1 R3.1 R4.1 R5.1 C1.1 R6.1\"\n\"GND\" = \"R2.2 Q1.E D2.A C1.2 SW1.2\"\n\"DIV\" = \"R1.2 R2.1\"\n\"LIT\" = \"R3.2 D1.A\"\n"
    "\"COL\" = \"D1.K Q1.C\"\n\"BASE\" = \"R4.2 Q1.B\"\n\"REF\" = \"R5.2 D2.K\"\n\"SW\" = \"R6.2 SW1.1\"\n";

}  // namespace

TEST_CASE("a typed board has the volts that its parts give") {
  Bench b(typed_machine(kParts, kNets));
  CHECK(b.circuit.troubles.empty());
  REQUIRE(b.solver->healthy().solved);
  CHECK(b.healthy("+5V") == doctest::Approx(5).epsilon(0.01));
  CHECK(b.healthy("DIV") == doctest::Approx(5 * 22.0 / 32).epsilon(0.01));
  CHECK(b.healthy("REF") == doctest::Approx(3.27).epsilon(0.02));
  CHECK(b.healthy("COL") < 0.15);
  CHECK(b.healthy("LIT") == doctest::Approx(1.85).epsilon(0.1));
  CHECK(b.healthy("SW") == doctest::Approx(5).epsilon(0.01));
}

TEST_CASE("faults of parts change the volts as a bench knows them") {
  Bench b(typed_machine(kParts, kNets));
  CHECK(b.at("DIV", b.under("R2", "open")) > 4.9);
  CHECK(b.at("DIV", b.under("R1", "open")) < 0.1);
  CHECK(b.at("DIV", b.under("R1", "drift-high", 2)) < 2.5);
  CHECK(b.at("DIV", b.under("R1", "drift-high", 0)) < b.healthy("DIV") - 0.1);
  CHECK(b.at("REF", b.under("D2", "short")) < 0.1);
  CHECK(b.at("REF", b.under("D2", "open")) > 4.9);
  CHECK(b.at("COL", b.under("Q1", "open")) > 2.5);
  CHECK(b.at("REF", b.under("D2", "joint-open")) > 4.9);
  CHECK(b.at("LIT", b.under("D1", "dead")) > 4.9);
  CHECK(b.at("+5V", b.under("SUPPLY", "dead")) < 0.01);
  CHECK(b.at("+5V", b.under("C1", "short")) < 4.9);
}

TEST_CASE("what the bench does is a change of the circuit too") {
  Bench b(typed_machine(kParts, kNets));
  const auto volts = [&](board::Action action) {
    const board::Setup setup({action});
    const Solution it = b.solver->solve(overlay(b.circuit, {&setup, {}, nullptr}, 0, b.levels, true));
    REQUIRE(it.solved);
    return it.volts;
  };
  board::Action hold{board::Action::Kind::hold, *b.machine->find_part("SW1"), {}, {}, {}};
  CHECK(b.at("SW", volts(hold)) < 0.1);
  board::Action lift{board::Action::Kind::lift, {}, *b.machine->find_pin("R2.1"), {}, {}};
  CHECK(b.at("DIV", volts(lift)) > 4.9);
  board::Action low{board::Action::Kind::force_low, {}, *b.machine->find_pin("R1.2"), {}, {}};
  CHECK(b.at("DIV", volts(low)) < 0.02);
  board::Action bridge{board::Action::Kind::bridge, {}, *b.machine->find_pin("R1.2"), *b.machine->find_pin("D2.K"), {}};
  const auto joined = volts(bridge);
  CHECK(b.at("DIV", joined) == doctest::Approx(b.at("REF", joined)).epsilon(0.001));
}

TEST_CASE("what can't be is named with its parts and the rest is predicted") {
  const auto has = [](const Circuit& circuit, const std::string& text) {
    return std::any_of(circuit.troubles.begin(), circuit.troubles.end(), [&](const Trouble& it) { return it.text.find(text) != std::string::npos; });
  };
  SUBCASE("no ground") {
    const Bench b(typed_machine("R1 = \"resistor 1k\"\n", "\"+5V\" = \"R1.1\"\n\"X\" = \"R1.2\"\n", "\n[[supply]]\nnet = \"+5V\"\nvolts = 5.0\ntolerance = 0.05\nfrom = \"SUPPLY\"\n"));
    CHECK(has(b.circuit, "ground"));
    CHECK(std::none_of(b.circuit.known.begin(), b.circuit.known.end(), [](bool known) { return known; }));
  }
  SUBCASE("values of zero and beyond all use") {
    Bench b(typed_machine("R1 = \"resistor 0\"\nR2 = \"resistor 1k\"\nR3 = \"resistor\"\nR4 = \"resistor 1k\"\n",
                  "\"+5V\" = \"R1.1 R3.1\"\n\"GND\" = \"R2.2 R4.2\"\n\"A\" = \"R1.2 R2.1\"\n\"B\" = \"R3.2 R4.1\"\n"));
    CHECK(has(b.circuit, "R1"));
    CHECK(has(b.circuit, "R3"));
    CHECK(b.healthy("A") == doctest::Approx(5).epsilon(0.01));
    CHECK(b.circuit.known[*b.circuit.net_node[b.machine->find_net("A")->index()]]);
    CHECK_FALSE(b.circuit.known[*b.circuit.net_node[b.machine->find_net("B")->index()]]);
  }
  SUBCASE("an island without a way to ground") {
    Bench b(typed_machine("R1 = \"resistor 1k\"\nR2 = \"resistor 1k\"\nR5 = \"resistor 1k\"\nR6 = \"resistor 1k\"\n",
                  "\"+5V\" = \"R1.1\"\n\"GND\" = \"R2.2\"\n\"A\" = \"R1.2 R2.1\"\n\"C\" = \"R5.1 R6.2\"\n\"D\" = \"R5.2 R6.1\"\n"));
    CHECK(has(b.circuit, "R5"));
    CHECK_FALSE(has(b.circuit, "R1"));
    CHECK(b.healthy("A") == doctest::Approx(2.5).epsilon(0.01));
  }
  SUBCASE("two supplies joined by wire") {
    const Bench b(typed_machine("W1 = \"wire\"\nR1 = \"resistor 1k\"\nR2 = \"resistor 1k\"\n", "\"+5V\" = \"W1.1 R1.1\"\n\"+12V\" = \"W1.2 R2.1\"\n\"GND\" = \"R1.2 R2.2\"\n",
                        "grounds = [\"GND\"]\n\n[[supply]]\nnet = \"+5V\"\nvolts = 5.0\ntolerance = 0.05\nfrom = \"SUPPLY\"\n\n[[supply]]\nnet = \"+12V\"\nvolts = 12.0\ntolerance = 0.05\nfrom = \"SUPPLY\"\n"));
    CHECK(has(b.circuit, "W1"));
  }
}

TEST_CASE("the shipped machines stand on their rails and every single fault has a solution") {
  for (const char* name : {"osprill-primer", "osprill-home-8"}) {
    INFO(std::string(name));
    Bench b(shipped_machine(name));
    REQUIRE(b.solver->healthy().solved);
    for (std::size_t i = 0; i < b.machine->nets().size(); ++i) {
      const board::Net& net = b.machine->nets()[i];
      if (net.kind == board::NetKind::rail) CHECK_MESSAGE(std::abs(b.solver->healthy().volts[*b.circuit.net_node[i]] - net.rail_v) < 0.1 * std::abs(net.rail_v), net.name);
    }
    const auto catalogue = fault::Catalogue::build(*b.machine);
    std::size_t unsolved = 0;
    for (const fault::Fault& f : catalogue.faults())
      if (is_modelled(f) && acts_on_circuit(f) && !b.solver->solve(overlay(b.circuit, {nullptr, {&f}, nullptr}, 2, b.levels, true)).solved) ++unsolved;
    CHECK(unsolved == 0);
  }
}
