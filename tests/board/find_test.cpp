#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::says;

TEST_CASE("a pin is named as people name it") {
  const auto machine = sample::machine(sample::bell());
  for (const char* text : {"U2.19", "U2./2OE", "U2.2OE", "u2.2oe", "U2-19", "u2 pin 19", "U2 19", "U2 /2OE", "main/U2.19", " U2.19 ", "U2.2OE#", "U2.~{2OE}", "U2 PIN 2OE"}) {
    CAPTURE(std::string(text));
    const auto pin = machine->find_pin(text);
    REQUIRE_MESSAGE(pin.ok(), pin.error().text());
    CHECK(machine->name_of(pin.value()) == "U2.19");
  }
  CHECK(machine->long_name_of(machine->find_pin("U2.19").value()) == "U2.19 (/2OE)");
  CHECK(machine->long_name_of(machine->find_pin("U2.2").value()) == "U2.2 (1A0)");
  CHECK(machine->long_name_of(machine->find_pin("R1.1").value()) == "R1.1");
}

TEST_CASE("a pin that is not there is answered with the nearest") {
  const auto machine = sample::machine(sample::bell());
  const auto error = [&](const char* text) {
    const auto pin = machine->find_pin(text);
    REQUIRE_FALSE(pin.ok());
    return pin.error();
  };
  CHECK(error("U2.99").code == ErrorCode::not_found);
  CHECK(says(error("U2.99").hint, "U2 is a 74244 with 20 pins, 1 to 20"));
  CHECK(says(error("U2.2OF").hint, "did you mean U2.2OE?"));
  CHECK(says(error("U9.1").message, "there is no part \"U9\""));
  CHECK(says(error("U9.1").hint, "did you mean U1?"));
  CHECK(error("U2").code == ErrorCode::usage);
  CHECK(says(error("U2").hint, "write U2.1"));
  CHECK(error("").code == ErrorCode::not_found);
  CHECK(error("...").code == ErrorCode::not_found);
  CHECK(error("PSU.1").code == ErrorCode::not_found);
}

TEST_CASE("a name of several pins is asked back") {
  auto files = sample::changed(sample::bell(), "parts.toml", "C1 = \"capacitor .1\"", "C1 = \"capacitor .1\"\nX1 = \"two-grounds\"");
  files["types/two-grounds.toml"] = "format = 1\nid = \"two-grounds\"\ntitle = \"x\"\nclass = \"custom\"\npins = [\"1 GND ground\", \"2 GND ground\", \"3 A in\"]\n";
  files = sample::changed(files, "nets.toml", "J1.1 C1.2", "J1.1 C1.2 X1.1 X1.2");
  const auto machine = sample::machine(files);
  const auto pin = machine->find_pin("X1.GND");
  REQUIRE_FALSE(pin.ok());
  CHECK(pin.error().code == ErrorCode::usage);
  CHECK(says(pin.error().hint, "X1.1, X1.2"));
}

TEST_CASE("parts of two units ask for the unit") {
  const auto machine = sample::machine(sample::organ());
  const auto part = machine->find_part("R1");
  REQUIRE_FALSE(part.ok());
  CHECK(part.error().code == ErrorCode::usage);
  CHECK(says(part.error().hint, "scan/R1, kbd/R1"));
  CHECK(machine->part(machine->find_part("KBD/r1").value()).ref == "kbd/R1");
  CHECK(machine->part(machine->find_part("scan/U1").value()).ref == "U1");
  CHECK(machine->find_pin("R1.1").error().code == ErrorCode::usage);
  CHECK(machine->find_pin("kbd/R1.1").ok());
}

TEST_CASE("a net is named with or without path and mark") {
  const auto machine = sample::machine(sample::bell());
  const auto name = [&](const char* text) {
    const auto net = machine->find_net(text);
    return net.ok() ? machine->net(net.value()).name : net.error().text();
  };
  CHECK(name("/sheet/NCLK") == "/sheet/NCLK");
  CHECK(name("nclk") == "/sheet/NCLK");
  CHECK(name("+5v") == "+5V");
  CHECK(name("main/KEY") == "KEY");
  for (const char* text : {"~{WR}", "/WR", "WR#", "~WR", "/wr", "WR*"}) CHECK(name(text) == "~{WR}");
  CHECK(says(name("NCLX"), "did you mean NCLK?"));
  CHECK(says(name("WR"), "there is no net"));
}

TEST_CASE("a bar and a path are told apart") {
  auto files = sample::changed(sample::bell(), "nets.toml", "\"/sheet/NCLK\"", "\"/sheet/PH2\"");
  files = sample::changed(files, "nets.toml", "\"/sheet/CK2\"", "\"/sheet/{slash}PH2\"");
  const auto machine = sample::machine(files);
  CHECK(machine->net(machine->find_net("PH2").value()).name == "/sheet/PH2");
  CHECK(machine->net(machine->find_net("/PH2").value()).name == "/sheet/{slash}PH2");
  CHECK(machine->net(machine->find_net("~PH2").value()).name == "/sheet/{slash}PH2");
}

TEST_CASE("a net of two units is asked back unless it is one ground or rail") {
  const auto machine = sample::machine(sample::organ());
  CHECK(machine->net(machine->find_net("GND").value()).name == "scan/GND");
  CHECK(machine->net(machine->find_net("kbd/GND").value()).name == "kbd/GND");
  const auto row = machine->find_net("ROW");
  REQUIRE_FALSE(row.ok());
  CHECK(row.error().code == ErrorCode::usage);
  CHECK(says(row.error().hint, "scan/ROW, kbd/ROW"));
}

TEST_CASE("functions are found by id") {
  const auto machine = sample::machine(sample::bell());
  CHECK(machine->find_function("key-a").ok());
  CHECK(says(machine->find_function("key-b").error().hint, "key-a"));
  CHECK(says(machine->find_function("television").error().hint, "rings, key-a"));
}
