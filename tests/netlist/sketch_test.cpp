#include <doctest/doctest.h>

#include "board/spec.h"
#include "netlist/sketch.h"

using namespace halfsplit;

namespace {
std::shared_ptr<const parts::Library> library() {
  static const auto it = parts::Library::open(HALFSPLIT_SOURCE_DIR "/shared/parts").value();
  return it;
}
}  // namespace

TEST_CASE("chip numbers are read with counts and references") {
  const auto chips = netlist::read_chips({"z80", "2x2764", "U9=74ls245"}, *library());
  REQUIRE(chips.ok());
  REQUIRE(chips->size() == 4);
  CHECK((*chips)[0].ref == "U1");
  CHECK((*chips)[2].type == "2764");
  CHECK((*chips)[3].ref == "U9");
  CHECK((*chips)[3].type == "74245");
}

TEST_CASE("a number nobody knows is named and nothing is made") {
  const auto chips = netlist::read_chips({"z80", "qq99zz"}, *library());
  REQUIRE(!chips.ok());
  CHECK(chips.error().message.find("qq99zz") != std::string::npos);
  CHECK(!netlist::read_chips({"0x2764"}, *library()).ok());
  CHECK(!netlist::read_chips({"U1=z80", "U1=2764"}, *library()).ok());
}

TEST_CASE("a sketch joins rails and processor addresses to the ROM and leaves the select to a stand-in") {
  const auto chips = netlist::read_chips({"z80", "2764", "8x4164", "74ls245", "2x74ls157", "7805"}, *library());
  REQUIRE(chips.ok());
  const auto spec = netlist::sketch_machine(*chips, *library(), "s", "sketch");
  REQUIRE(spec.ok());
  const auto built = board::build(*spec, library());
  REQUIRE_MESSAGE(built.ok(), built.error().text());
  const board::Machine& machine = **built;
  const auto net = [&](const char* pin) { return machine.pin(machine.find_pin(pin).value()).net; };
  CHECK(net("U1.A0") == net("U2.A0"));
  CHECK(net("U1.VCC") == net("U2.VCC"));
  CHECK(machine.net(net("U1.VCC")).rail_v == 5);
  CHECK(net("U1.D0") != net("U2.D0"));
  const auto stand_in = machine.find_part("?U2-20");
  REQUIRE(stand_in.ok());
  CHECK(machine.part(*stand_in).value == "U2.20");
}
