#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::bell;
using sample::changed;
using sample::net_of;
using sample::says;

TEST_CASE("parts are built with type and family and value") {
  const auto machine = sample::machine(bell());
  CHECK(machine->id() == "bell");
  CHECK(machine->units() == std::vector<std::string>{"main"});
  const Part& buffer = machine->part(machine->find_part("U2").value());
  CHECK(buffer.type->id == "74244");
  CHECK(buffer.family->id == "LS");
  CHECK(buffer.pin_count == 20);
  CHECK(buffer.socketed);
  CHECK(buffer.value == "74LS244");
  const Part& resistor = machine->part(machine->find_part("R1").value());
  CHECK(resistor.value == "4.7k");
  CHECK(resistor.value_si == 4700);
  CHECK(resistor.family == nullptr);
  const Part& capacitor = machine->part(machine->find_part("C1").value());
  CHECK(capacitor.value == "100n");
  CHECK(*capacitor.value_si == doctest::Approx(1e-7));
  CHECK(machine->part(machine->find_part("J1").value()).type->id == "header/4");
}

TEST_CASE("every pin is a node on its net or on none") {
  const auto machine = sample::machine(bell());
  CHECK(net_of(*machine, "U1.1") == "CLK");
  CHECK(net_of(*machine, "U2.1") == "GND");
  CHECK(net_of(*machine, "U2.3") == "");
  const Net& rail = machine->net(machine->find_net("+5V").value());
  REQUIRE(rail.pins.size() == 5);
  CHECK(machine->name_of(rail.pins[0]) == "U1.14");
  CHECK(machine->name_of(rail.pins[2]) == "R1.1");
  for (std::size_t i = 0; i < machine->parts().size(); ++i)
    for (std::size_t k = 0; k < machine->parts()[i].pin_count; ++k) {
      const Pin& pin = machine->pin(machine->pin_of(PartId(i), k));
      CHECK(pin.part == PartId(i));
      CHECK(pin.index == k);
    }
}

TEST_CASE("rails and grounds and signals from outside are known") {
  const auto machine = sample::machine(bell());
  const Net& rail = machine->net(machine->find_net("+5V").value());
  CHECK(rail.kind == NetKind::rail);
  CHECK(rail.rail_v == 5);
  REQUIRE(rail.source.has_value());
  CHECK(machine->part(*rail.source).ref == "PSU");
  CHECK(machine->part(*rail.source).surroundings);
  CHECK(machine->part(*rail.source).pin_count == 0);
  CHECK_FALSE(machine->part(*rail.source).unit.known());
  CHECK(machine->net(machine->find_net("GND").value()).kind == NetKind::ground);
  CHECK(machine->net(machine->find_net("CLK").value()).fed == 0.5);
  CHECK_FALSE(machine->net(machine->find_net("BELL").value()).fed.has_value());
}

TEST_CASE("needs are pins or drivers of a net or parts") {
  const auto machine = sample::machine(bell());
  const Function& rings = machine->function(machine->find_function("RINGS").value());
  REQUIRE(rings.needs.size() == 2);
  CHECK(machine->name_of(rings.needs[0].pin) == "U2.18");
  CHECK(machine->part(rings.needs[1].part).ref == "ear");
  CHECK(rings.feeds);
  const Function& key = machine->function(machine->find_function("key-a").value());
  REQUIRE(key.needs.size() == 2);
  CHECK(machine->name_of(key.needs[0].pin) == "SW1.1");  // nothing drives KEY: its first pin
  CHECK_FALSE(key.needs[0].content);
  CHECK(key.needs[1].content);
  CHECK(machine->part(*key.held).ref == "SW1");
  CHECK(key.title == "key-a");
}

TEST_CASE("a net as a need means every pin that drives it") {
  const auto machine = sample::machine(changed(bell(), "machine.toml", "needs = [\"net KEY\"", "needs = [\"net NCLK\", \"net ~{WR}\""));
  const Function& key = machine->function(machine->find_function("key-a").value());
  REQUIRE(key.needs.size() == 3);
  CHECK(machine->name_of(key.needs[0].pin) == "U1.2");
  CHECK(machine->name_of(key.needs[1].pin) == "JP1.2");
}

TEST_CASE("pins of a bare header come from the nets") {
  auto files = changed(bell(), "parts.toml", "J1 = { type = \"header\", pins = \"1..4\" }", "J1 = \"header\"");
  CHECK(sample::machine(files)->part(PartId(5)).type->id == "header/4");
  files = changed(files, "parts.toml", "J1 = \"header\"", "J1 = \"header\"\nJ2 = \"header\"");
  const Error error = sample::error_of(files);
  CHECK(says(error.message, "how many pins"));
  CHECK(says(error.hint, "header/16"));
}

TEST_CASE("pins get the places of the layout") {
  auto files = bell();
  files["layout.toml"] = "format = 1\n[pins]\nU1 = \"2@10,22.5\"\n";
  const auto machine = sample::machine(files);
  CHECK(machine->pin(machine->find_pin("U1.2").value()).at->y_mm == 22.5);
  CHECK_FALSE(machine->pin(machine->find_pin("U1.3").value()).at.has_value());
  files["layout.toml"] = "format = 1\n[pins]\nU1 = \"2@10,22.5 2@1\"\n";
  CHECK(sample::error_of(files).place == Place{"layout.toml", 3, 17});
  files["layout.toml"] = "format = 1\n[pins]\nU9 = \"2@10,22.5\"\n";
  CHECK(sample::error_of(files).place == Place{"layout.toml", 3, 1});
}

TEST_CASE("the hash follows what changes predictions and nothing else") {
  const auto hash = [](const SpecFiles& files) { return sample::machine(files)->hash(); };
  const auto plain = hash(bell());
  CHECK(hash(bell()) == plain);
  CHECK(hash(changed(bell(), "machine.toml", "Osprill Bell", "Other Bell")) == plain);
  CHECK(hash(changed(bell(), "machine.toml", "the bell rings", "it rings")) == plain);
  const auto differs = [&](const char* file, const char* was, const char* now) {
    CAPTURE(now);
    CHECK(hash(changed(bell(), file, was, now)) != plain);
  };
  differs("parts.toml", "4k7", "10k");
  differs("parts.toml", "7404 LS", "7404 HCT");
  differs("parts.toml", "socketed = true", "fitted = false");
  differs("parts.toml", "jumper-open", "jumper-closed");
  differs("parts.toml", "40.0]", "41.0]");
  differs("nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.14\"");
  differs("nets.toml", "U2.18 J1.4", "J1.4 U2.18");
  differs("board.toml", "volts = 5", "volts = 4.5");
  differs("board.toml", "from = \"PSU\"", "from = \"J1\"");
  differs("board.toml", "moves = 0.5", "moves = 0.6");
  differs("machine.toml", "kind = \"sound\"", "kind = \"other\"");
  differs("machine.toml", "content U2.16", "U2.16");
}

TEST_CASE("a spec made by a program is held to the same rules") {
  MachineSpec spec = sample::spec(bell());
  spec.units[0].parts.push_back(spec.units[0].parts[0]);
  auto made = build(spec, sample::library());
  REQUIRE_FALSE(made.ok());
  CHECK(says(made.error().message, "U1 is there twice"));
  spec = sample::spec(bell());
  spec.units[0].nets.push_back(spec.units[0].nets[8]);
  CHECK(says(build(spec, sample::library()).error().message, "net \"OUT\" is there twice"));
  spec = sample::spec(bell());
  spec.units.push_back(spec.units[0]);
  CHECK(says(build(spec, sample::library()).error().message, "a unit of several has no name"));
  spec = sample::spec(bell());
  spec.functions.push_back(spec.functions[0]);
  CHECK(says(build(spec, sample::library()).error().message, "function rings is there twice"));
  spec = sample::spec(bell());
  spec.functions[0].needs.clear();
  CHECK(says(build(spec, sample::library()).error().message, "needs nothing"));
  spec.units.clear();
  CHECK_FALSE(build(spec, sample::library()).ok());
}
