#include "circuit/meter.h"

#include <doctest/doctest.h>

#include <cmath>

#include "bench.h"

using namespace halfsplit;
using namespace halfsplit::circuit;

namespace {

struct Held {
  std::shared_ptr<const board::Machine> machine;
  Meter meter;
  explicit Held(std::shared_ptr<const board::Machine> of) : machine(std::move(of)), meter(*machine, Levels(machine->nets().size(), Drive::off)) {}
  NodeIndex net(const std::string& name) const { return *meter.circuit().net_node[machine->find_net(name)->index()]; }
  NodeIndex leg(const std::string& name) const { return *meter.circuit().pin_node[machine->find_pin(name)->index()]; }
  fault::Fault fault(const std::string& part, const std::string& mode) const {
    const auto catalogue = fault::Catalogue::build(*machine);
    for (const fault::Fault& f : catalogue.faults())
      if (f.mode == mode && f.site.part.known() && machine->part(f.site.part).ref == part) return f;
    FAIL("no such fault: " << part << " " << mode);
    return {};
  }
};

}  // namespace

TEST_CASE("the meter loads what it measures") {
  Held b(typed_machine("R1 = \"resistor 10M\"\nR2 = \"resistor 10M\"\n", "\"+5V\" = \"R1.1\"\n\"GND\" = \"R2.2\"\n\"HALF\" = \"R1.2 R2.1\"\n"));
  const Reading it = b.meter.volts({}, 0, {{b.net("HALF"), kGround}}).front();
  REQUIRE(it.known);
  CHECK(it.source_ohm == doctest::Approx(5e6).epsilon(0.01));
  CHECK(it.value == doctest::Approx(2.5 / 1.5).epsilon(0.01));
}

TEST_CASE("ohms in circuit are those of all that lies beside") {
  Held b(typed_machine("R1 = \"resistor 1k\"\nR2 = \"resistor 2k\"\nR3 = \"resistor 1k\"\nD1 = \"diode\"\nR4 = \"resistor 47\"\n",
                       "\"+5V\" = \"R1.1 D1.A\"\n\"GND\" = \"R3.2 R4.2\"\n\"A\" = \"R1.2 R2.1\"\n\"B\" = \"R2.2 R3.1\"\n\"C\" = \"D1.K R4.1\"\n"));
  const Reading across = b.meter.ohms({}, 0, {b.leg("R2.1"), b.leg("R2.2")});
  REQUIRE(across.known);
  CHECK(across.value > 1900);
  CHECK(across.value < 2000.1);                                    // 2k beside a diode that 0.25 V don't open
  CHECK(across.spread == doctest::Approx(40).epsilon(0.05));
  CHECK(b.meter.ohms({}, 0, {b.leg("R4.1"), kGround}).value == doctest::Approx(47).epsilon(0.01));
  const fault::Fault open = b.fault("R2", "open");
  CHECK(b.meter.ohms({nullptr, {&open}, nullptr}, 0, {b.leg("R2.1"), b.leg("R2.2")}).value > 1e5);
  const fault::Fault other = b.fault("R4", "open");
  CHECK(b.meter.ohms({nullptr, {&other}, nullptr}, 0, {b.leg("R3.1"), b.leg("R3.2")}).value == doctest::Approx(1000).epsilon(0.02));
  const fault::Fault joint = b.fault("R4", "joint-open");
  CHECK(b.meter.ohms({nullptr, {&joint}, nullptr}, 0, {b.net("C"), kGround}).value > 1e4);
  CHECK(b.meter.ohms({nullptr, {&joint}, nullptr}, 0, {b.leg("R4.1"), kGround}).value == doctest::Approx(47).epsilon(0.01));
}

TEST_CASE("the diode test shows a junction one way and nothing the other") {
  Held b(typed_machine("D1 = \"diode\"\nQ1 = \"npn\"\nR1 = \"resistor 1M\"\nD2 = \"led\"\n",
                       "\"+5V\" = \"R1.1\"\n\"GND\" = \"D1.K Q1.E D2.K\"\n\"A\" = \"D1.A R1.2\"\n\"B\" = \"Q1.B\"\n\"C\" = \"Q1.C\"\n\"L\" = \"D2.A\"\n"));
  const Reading forward = b.meter.diode({}, 0, {b.leg("D1.A"), b.leg("D1.K")});
  CHECK(forward.value == doctest::Approx(0.61).epsilon(0.06));
  CHECK(b.meter.diode({}, 0, {b.leg("D1.K"), b.leg("D1.A")}).over);
  CHECK(b.meter.diode({}, 0, {b.leg("Q1.B"), b.leg("Q1.E")}).value == doctest::Approx(0.65).epsilon(0.06));
  CHECK(b.meter.diode({}, 0, {b.leg("Q1.E"), b.leg("Q1.B")}).over);
  const fault::Fault shorted = b.fault("D1", "short");
  CHECK(b.meter.diode({nullptr, {&shorted}, nullptr}, 0, {b.leg("D1.A"), b.leg("D1.K")}).value < 0.01);
  const fault::Fault open = b.fault("D1", "open");
  CHECK(b.meter.diode({nullptr, {&open}, nullptr}, 0, {b.leg("D1.A"), b.leg("D1.K")}).over);
}

TEST_CASE("supply current is what the parts draw") {
  Held b(typed_machine("R1 = \"resistor 100\"\nR2 = \"resistor 1k\"\n", "\"+5V\" = \"R1.1 R2.1\"\n\"GND\" = \"R1.2 R2.2\"\n"));
  const board::PartId supply = *b.machine->find_part("SUPPLY");
  const Reading it = b.meter.current({}, 0, supply);
  REQUIRE(it.known);
  CHECK(it.value == doctest::Approx(0.055).epsilon(0.01));
  const fault::Fault open = b.fault("R1", "open");
  CHECK(b.meter.current({nullptr, {&open}, nullptr}, 0, supply).value == doctest::Approx(0.005).epsilon(0.01));
}
