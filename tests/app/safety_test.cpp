// A rail that was dangerous stays a stop until it has been measured again, whatever was mended or changed meanwhile.
#include "app/safety.h"

#include <doctest/doctest.h>

#include "board/spec.h"

using namespace halfsplit;

namespace {

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  observe::History history;
  Bench() {
    const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
    machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
  }
  void volts(double value) {
    observe::Observation seen;
    seen.point.at = observe::Point::At::leg;
    seen.point.pin = machine->find_pin("U3.11").value();
    seen.kind = observe::Kind::volts_dc;
    seen.value.from = seen.value.to = value;
    seen.value.unit = observe::Unit::volts;
    history.add(seen);
  }
  std::size_t stops() const { return app::stops(history, *machine).size(); }
};

}  // namespace

TEST_CASE("a rail within its limits is no stop") {
  Bench bench;
  bench.volts(5.02);
  CHECK(bench.stops() == 0);
}

TEST_CASE("a repair does not lift the stop of a rail that was too high") {
  Bench bench;
  bench.volts(6.4);
  REQUIRE(bench.stops() == 1);
  observe::Repair repair;
  repair.part = bench.machine->find_part("U30").value();
  bench.history.add(repair);
  REQUIRE(bench.stops() == 1);
  const std::string told = app::stops(bench.history, *bench.machine).front();
  CHECK(told.find("has not been measured since") != std::string::npos);
  CHECK(told.find("dummy load") != std::string::npos);
  bench.volts(5.01);
  CHECK(bench.stops() == 0);
}

TEST_CASE("nor does a change of the board") {
  Bench bench;
  bench.volts(6.4);
  observe::Amended change;
  change.ours = true;
  bench.history.add(change);
  CHECK(bench.stops() == 1);
  bench.volts(6.3);
  CHECK(bench.stops() == 1);
}
