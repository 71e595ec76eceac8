#include "netlist/net_csv.h"

#include <doctest/doctest.h>

using namespace halfsplit;
using namespace halfsplit::netlist;

namespace {
Netlist read(const std::string& text) {
  Result<Netlist> netlist = read_net_csv(text, "nets.csv");
  REQUIRE_MESSAGE(netlist.ok(), (netlist.ok() ? "" : netlist.error().text()));
  return std::move(*netlist);
}
}  // namespace

TEST_CASE("a net table gives pins with names and types") {
  const Netlist netlist = read("Net,Ref,Pin,PinName,PinType\nSTROBE,U4,11,Q3,output\nSTROBE,J1,A,,passive\n,U4,12,~{OE},input\nN/C,U4,13,NC,no_connect\n");
  REQUIRE(netlist.parts.size() == 2);
  CHECK(netlist.nets.size() == 1);
  const Part& chip = netlist.parts[0];
  CHECK(chip.pins[0].name == "Q3");
  CHECK(chip.pins[0].type == PinType::output);
  CHECK(chip.pins[1].name == "/OE");
  CHECK_FALSE(chip.pins[1].net.known());
  CHECK(chip.pins[2].type == PinType::no_connect);
  CHECK(netlist.parts[1].pins[0].number == "A");
  CHECK(netlist.deviation_count(DeviationKind::unconnected_blank) == 1);
  CHECK(netlist.deviation_count(DeviationKind::unconnected_nc) == 1);
}

TEST_CASE("columns come in any order and under other names") {
  const Netlist netlist = read("\xef\xbb\xbf" "Pin Number;Reference;Net Name\n1;U4;GND\n2;U4;STROBE\n2;U4;STROBE\n");
  CHECK(netlist.parts[0].pins.size() == 2);
  CHECK(netlist.deviation_count(DeviationKind::byte_order_mark) == 1);
  CHECK(netlist.deviation_count(DeviationKind::separator_other) == 1);
  CHECK(netlist.deviation_count(DeviationKind::header_variant) == 3);
  CHECK(netlist.deviation_count(DeviationKind::row_repeated) == 1);
}

TEST_CASE("unknown pin types are counted and a pin on two nets is kept apart") {
  const Netlist netlist = read("Net,Ref,Pin,PinName,PinType\nA,U4,1,X,weird\nB,U4,1,X,output+no_connect\nA,U4,2,,\n");
  CHECK(netlist.parts.size() == 2);
  CHECK(netlist.parts[1].ref == "U4_2");
  CHECK(netlist.parts[1].pins[0].type == PinType::output);
  CHECK(netlist.deviation_count(DeviationKind::pin_type_unknown) == 1);
  CHECK(netlist.deviation_count(DeviationKind::pin_on_two_nets) == 1);
}

TEST_CASE("a written net table reads back the same") {
  const std::string text = "Net,Ref,Pin,PinName,PinType\n\"A,B\",U4,1,Q,output\n\"A,B\",\"BANK \"\"0\"\"\",2,,passive\n,U4,3,,\n";
  const Netlist netlist = read(text);
  CHECK(write_net_csv(netlist) == text);
}

TEST_CASE("bad net tables are refused with their places") {
  const auto refused = [](const std::string& text) {
    const Result<Netlist> netlist = read_net_csv(text, "nets.csv");
    REQUIRE_FALSE(netlist.ok());
    return netlist.error();
  };
  CHECK(refused("STROBE,U4,1\n").message.find("no columns") == 0);
  CHECK(refused("").message.find("no columns") == 0);
  CHECK(refused("Net,Ref,Pin\n").message == "holds no pin");
  const Error error = refused("Net,Ref,Pin\nSTROBE,,1\nSTROBE,U4,\n");
  CHECK(error.place.line == 2);
  CHECK(error.message.find("nets.csv:3:1") != std::string::npos);
  const Error quote = refused("Net,Ref,Pin\nA,U4,\"1\n");
  CHECK(quote.place.line == 2);
  CHECK(quote.place.column == 6);
  CHECK(refused("Net,Ref,Pin\nA,U4,\"1\"2\n").message.find("after the closing quote") != std::string::npos);
}
