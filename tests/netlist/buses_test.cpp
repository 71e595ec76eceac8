#include <doctest/doctest.h>

#include <algorithm>

#include "board/amendment.h"
#include "board/spec.h"
#include "netlist/buses.h"
#include "netlist/sketch.h"
#include "netlist/sweeps.h"
#include "parts/stand_in.h"

using namespace halfsplit;
using netlist::Bus;

namespace {
std::shared_ptr<const parts::Library> library() {
  static const auto it = parts::Library::open(HALFSPLIT_SOURCE_DIR "/shared/parts").value();
  return it;
}
board::MachineSpec sketched(const std::vector<std::string>& words) { return netlist::sketch_machine(*netlist::read_chips(words, *library()), *library(), "s", "sketch").value(); }
Bus& bus_of(std::vector<Bus>& buses, const std::string& title, const std::string& a, const std::string& b) {
  const auto it = std::find_if(buses.begin(), buses.end(), [&](const Bus& bus) { return bus.title == title && bus.a == a && bus.b == b; });
  REQUIRE(it != buses.end());
  return *it;
}
std::shared_ptr<const board::Machine> built(const board::MachineSpec& spec, const std::vector<std::string>& lines) {
  std::vector<board::Amendment> amendments;
  for (const auto& line : lines) amendments.push_back(board::parse_amendment(line).value());
  return board::build(board::amend(spec, amendments, *library()).value(), library()).value();
}
board::NetId net(const board::Machine& machine, const char* pin) { return machine.pin(machine.find_pin(pin).value()).net; }
}  // namespace

TEST_CASE("a data bus is settled by its lowest and highest lane and then all its lanes are joined") {
  const auto spec = sketched({"z80", "2764"});
  auto buses = netlist::buses_of(spec, *library());
  netlist::weigh(buses, {});
  const Bus& open = bus_of(buses, "data", "U1", "U2");
  CHECK(!open.settled());
  CHECK(open.chance < netlist::kClaimed);
  CHECK(open.next()->a == "U1.14");
  const std::vector<netlist::Contact> one = {{"U2.11", "U1.14", true}};
  netlist::weigh(buses, one);
  CHECK(bus_of(buses, "data", "U1", "U2").next()->a == "U1.13");
  const std::vector<netlist::Contact> both = {{"U2.11", "U1.14", true}, {"U1.13", "U2.19", true}};
  netlist::weigh(buses, both);
  CHECK(bus_of(buses, "data", "U1", "U2").settled());
  CHECK(bus_of(buses, "data", "U1", "U2").chance > netlist::kClaimed);
  const auto machine = built(spec, netlist::found_joins(buses, both));
  CHECK(net(*machine, "U1.D3") == net(*machine, "U2.D3"));
  CHECK(net(*machine, "U1.D3") != net(*machine, "U1.D4"));
}

TEST_CASE("a silent lane takes back what was laid in for it and enough of them the whole bus") {
  const auto spec = sketched({"z80", "2764"});
  auto buses = netlist::buses_of(spec, *library());
  REQUIRE(net(*built(spec, {}), "U1.A0") == net(*built(spec, {}), "U2.A0"));
  const std::vector<netlist::Contact> silent = {{"U1.30", "U2.10", false}, {"U1.2", "U2.2", false}};
  netlist::weigh(buses, silent);
  CHECK(bus_of(buses, "address", "U1", "U2").refuted());
  const auto machine = built(spec, netlist::found_joins(buses, silent));
  CHECK(net(*machine, "U1.A0") != net(*machine, "U2.A0"));
  CHECK(net(*machine, "U1.A5") != net(*machine, "U2.A5"));
  const auto stand_in = machine->net(net(*machine, "U2.A5")).pins.back();
  CHECK(parts::stands_in(*machine->part(machine->pin(stand_in).part).type));
}

TEST_CASE("the last reading of a pair counts") {
  auto buses = netlist::buses_of(sketched({"z80", "2764"}), *library());
  netlist::weigh(buses, {{"U1.14", "U2.11", false}, {"U2.11", "U1.14", true}});
  CHECK(bus_of(buses, "data", "U1", "U2").lanes.front().read == netlist::Lane::Read::beeps);
}

TEST_CASE("a buffer between settles both of its sides in either order") {
  const auto spec = sketched({"z80", "2764", "74ls245"});
  auto buses = netlist::buses_of(spec, *library());
  // A8..A1 from D0 on at the processor's side and B8..B1 at the memory's.
  netlist::weigh(buses, {{"U1.14", "U3.9", true}, {"U1.13", "U3.2", true}, {"U3.11", "U2.11", true}, {"U3.18", "U2.19", true}});
  const auto settled = std::count_if(buses.begin(), buses.end(), [](const Bus& bus) { return bus.title == "data" && bus.settled(); });
  CHECK(settled == 2);
}

TEST_CASE("dynamic memories share addresses and row strobe and write as likely") {
  const auto spec = sketched({"z80", "8x4164"});
  const auto machine = built(spec, {});
  CHECK(net(*machine, "U2.4") == net(*machine, "U9.4"));
  CHECK(net(*machine, "U2.3") == net(*machine, "U9.3"));
  CHECK(net(*machine, "U2.15") != net(*machine, "U9.15"));
  const auto doubts = board::likely_doubts(spec.amendments);
  REQUIRE(doubts.count("U9.4") == 1);
  CHECK(doubts.at("U9.4") == doctest::Approx(0.03));
}

TEST_CASE("a traced driver takes the place of the stand-in") {
  const auto spec = sketched({"z80", "2764", "74ls138"});
  REQUIRE(built(spec, {})->find_part("?U2-20").ok());
  const auto machine = built(spec, {"found join U2.20 U3.15"});
  CHECK(!machine->find_part("?U2-20").ok());
  CHECK(net(*machine, "U2.20") == net(*machine, "U3.15"));
}

TEST_CASE("decoders are swept first from a select") {
  const auto machine = built(sketched({"z80", "2764", "74ls00", "74ls138"}), {});
  const auto order = netlist::sweep_order(*machine, machine->find_pin("U2.20").value(), {});
  REQUIRE(order.size() == 3);
  CHECK(machine->part(order[0]).ref == "U4");
  CHECK(machine->part(order[1]).ref == "U3");
  const auto less = netlist::sweep_order(*machine, machine->find_pin("U2.20").value(), {order[0]});
  CHECK(less.size() == 2);
}

TEST_CASE("joining refuses a rail with ground and chances that make no sense") {
  const auto spec = sketched({"z80", "2764"});
  const auto refused = [&](const char* line) { return !board::amend(spec, {board::parse_amendment(line).value()}, *library()).ok(); };
  CHECK(refused("join U1.11 U1.29"));
  CHECK(refused("join U1.14 U2.11 likely 1.5"));
  CHECK(refused("join U1.14 U2.11 likely 0.2"));
  CHECK(refused("join U1.14 U2.99"));
  CHECK(!refused("join U1.14 U2.11 likely 0.9"));
}
