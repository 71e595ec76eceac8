#include "support.h"

#include "fault/bench_block.h"

using namespace halfsplit;
using board::Action;

namespace {

const board::Machine& machine() {
  static const auto made = bench_block::machine();
  return *made;
}
Action on_part(Action::Kind kind, const char* ref) {
  Action action;
  action.kind = kind;
  action.part = machine().find_part(ref).value();
  return action;
}
Action on_pin(Action::Kind kind, const char* pin) {
  Action action;
  action.kind = kind;
  action.pin = machine().find_pin(pin).value();
  return action;
}

}  // namespace

TEST_CASE("a chip in a socket comes out in a minute and a soldered one in a quarter of an hour") {
  const fault::Costs& costs = shipped()->costs();
  CHECK(costs.action_minutes(on_part(Action::Kind::pull, "U3"), machine()) <= 2);
  const double soldered = costs.action_minutes(on_part(Action::Kind::pull, "U10"), machine());
  CHECK(soldered == doctest::Approx(15));
  CHECK(costs.undo_minutes(on_part(Action::Kind::pull, "U10"), machine()) == doctest::Approx(7));
  // Between 16 pins (17 minutes) and 28 (28) in proportion.
  CHECK(costs.action_minutes(on_part(Action::Kind::pull, "U1"), machine()) == doctest::Approx(17 + 11.0 * 4 / 12));
  CHECK(costs.action_minutes(on_pin(Action::Kind::lift, "U10.3"), machine()) > costs.action_minutes(on_pin(Action::Kind::lift, "U3.9"), machine()));
}

TEST_CASE("finding a leg comes to each reading of it but not to a function") {
  const fault::Costs& costs = shipped()->costs();
  observe::Point leg, works;
  leg.at = observe::Point::At::leg;
  leg.pin = machine().find_pin("U10.3").value();
  works.at = observe::Point::At::function;
  CHECK(costs.reading_minutes(observe::Kind::probe, leg, machine()) == doctest::Approx(2.0));
  CHECK(costs.reading_minutes(observe::Kind::function, works, machine()) == doctest::Approx(1.0));
  CHECK(costs.reading_minutes(observe::Kind::triggered, leg, machine()) > costs.reading_minutes(observe::Kind::probe, leg, machine()));
}

TEST_CASE("repairs cost by class and socket") {
  const fault::Costs& costs = shipped()->costs();
  const fault::Catalogue catalogue = fault::Catalogue::build(machine());
  const auto minutes = [&](const char* ref) { return costs.repair_minutes(catalogue.site_of_part(machine().find_part(ref).value()).value(), catalogue, machine()); };
  CHECK(minutes("R1") == doctest::Approx(5));
  CHECK(minutes("U3") < minutes("U10"));
  CHECK(minutes("U10") == doctest::Approx(22));
  CHECK(minutes("SW1") == doctest::Approx(4));
  CHECK(costs.repair_minutes(fault::SiteId(catalogue.site_count() - 1), catalogue, machine()) == doctest::Approx(costs.astray_minutes()));
  CHECK(costs.tryout_minutes() == doctest::Approx(2));
}
