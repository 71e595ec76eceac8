#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::net_of;
using sample::organ;

TEST_CASE("names carry their unit only where two units use them") {
  const auto machine = sample::machine(organ());
  CHECK(machine->units() == std::vector<std::string>{"scan", "kbd"});
  std::vector<std::string> refs, nets;
  for (const Part& part : machine->parts()) refs.push_back(part.ref);
  for (const Net& net : machine->nets()) nets.push_back(net.name);
  CHECK(refs == std::vector<std::string>{"U1", "J3", "scan/R1", "J1", "SW1", "kbd/R1", "scan/J3~kbd/J1"});
  CHECK(nets == std::vector<std::string>{"scan/GND", "+5V", "scan/ROW", "COL", "TICK", "kbd/GND", "VK", "kbd/ROW", "K", "KCOL"});
}

TEST_CASE("a mate is a part with one contact per pin pair on both nets") {
  const auto machine = sample::machine(organ());
  const PartId mate = machine->find_part("scan/J3~kbd/J1").value();
  const Part& part = machine->part(mate);
  CHECK(part.pin_count == 8);
  CHECK(part.type->rate_class == "connector");
  CHECK_FALSE(part.unit.known());
  REQUIRE(part.type->blocks.size() == 1);
  CHECK(part.type->blocks[0].kind == parts::Template::contact);
  CHECK(part.type->blocks[0].port("a").size() == 4);
  CHECK(net_of(*machine, "scan/J3~kbd/J1.a1") == "scan/ROW");
  CHECK(net_of(*machine, "scan/J3~kbd/J1.b1") == "kbd/ROW");
  CHECK(net_of(*machine, "scan/J3~kbd/J1.a3") == "+5V");
  CHECK(net_of(*machine, "scan/J3~kbd/J1.b3") == "VK");
  const Net& row = machine->net(machine->find_net("kbd/ROW").value());
  CHECK(machine->name_of(row.pins.back()) == "scan/J3~kbd/J1.b1");
}

TEST_CASE("unplugging a connector concerns its contacts") {
  const auto machine = sample::machine(organ());
  const PartId mate = machine->find_part("scan/J3~kbd/J1").value();
  CHECK(machine->plug_contacts(machine->find_part("J3").value()) == std::vector<PartId>{mate});
  CHECK(machine->plug_contacts(machine->find_part("J1").value()) == std::vector<PartId>{mate});
  CHECK(machine->plug_contacts(mate) == std::vector<PartId>{mate});
  CHECK(machine->plug_contacts(machine->find_part("U1").value()).empty());
}

TEST_CASE("a map crosses pins and leaves the rest alone") {
  const auto machine = sample::machine(organ("a = \"scan/J3\"\nb = \"kbd/J1\"\nmap = \"1=2 2=1\"\n"));
  CHECK(machine->part(machine->find_part("scan/J3~kbd/J1").value()).pin_count == 4);
  CHECK(net_of(*machine, "scan/J3~kbd/J1.a1") == "scan/ROW");
  CHECK(net_of(*machine, "scan/J3~kbd/J1.b2") == "KCOL");
}

TEST_CASE("a cable is two plugs and the conductors between") {
  const auto machine = sample::machine(organ("a = \"scan/J3\"\nb = \"kbd/J1\"\ncable = \"W1\"\n"));
  const PartId near = machine->find_part("scan/J3~W1").value(), cable = machine->find_part("W1").value(), far = machine->find_part("W1~kbd/J1").value();
  CHECK(machine->part(cable).type->technology == "cable conductor");
  CHECK(net_of(*machine, "scan/J3~W1.a2") == "COL");
  const std::string near_end = net_of(*machine, "scan/J3~W1.b2"), far_end = net_of(*machine, "W1~kbd/J1.a2");
  CHECK(near_end == "W1.2 at scan:J3");
  CHECK(far_end == "W1.2 at kbd:J1");
  CHECK(net_of(*machine, "W1.a2") == near_end);
  CHECK(net_of(*machine, "W1.b2") == far_end);
  CHECK(net_of(*machine, "W1~kbd/J1.b2") == "KCOL");
  CHECK(machine->plug_contacts(cable) == std::vector<PartId>{near, far});
  CHECK(machine->plug_contacts(machine->find_part("J3").value()) == std::vector<PartId>{near});
}

TEST_CASE("pins without a net have no contact") {
  const auto machine = sample::machine(sample::changed(organ(), "kbd/nets.toml", "VK = \"J1.3\"\n", ""));
  CHECK(machine->part(machine->find_part("scan/J3~kbd/J1").value()).pin_count == 6);
}

TEST_CASE("connectors with no number in common need a map") {
  auto files = organ("a = \"scan/J3\"\nb = \"kbd/J1\"\n");
  files = sample::changed(files, "kbd/parts.toml", "header/4", "header/A1..A4");
  for (const char* pin : {"4", "3", "1", "2"}) files = sample::changed(files, "kbd/nets.toml", std::string("J1.") + pin, std::string("J1.A") + pin);
  const Error no_common = sample::error_of(files);
  CHECK(sample::says(no_common.message, "no pins of one number"));
  CHECK(no_common.place.file == "machine.toml");
}

TEST_CASE("a pin of another unit may stand on a net") {
  auto files = sample::changed(organ(), "scan/nets.toml", "TICK = \"U1.1\"", "TICK = \"U1.1 kbd/SW1.1\"");
  files = sample::changed(files, "kbd/nets.toml", "R1.2 SW1.1", "R1.2");
  CHECK(net_of(*sample::machine(files), "SW1.1") == "TICK");
  const Error error = sample::error_of(sample::changed(files, "scan/nets.toml", "kbd/SW1.1", "kbs/SW1.1"));
  CHECK(sample::says(error.message, "there is no unit \"kbs\""));
  CHECK(error.place == Place{"scan/nets.toml", 7, 14});
}
