// board/sample.h - small invented machines as files, for the tests of this folder.
#pragma once
#include <doctest/doctest.h>

#include <map>
#include <memory>
#include <string>

#include "board/spec.h"
#include "parts/library.h"

namespace sample {

using namespace halfsplit;

inline std::shared_ptr<const parts::Library> library() {
  static const auto opened = parts::Library::open(HALFSPLIT_SOURCE_DIR "/shared/parts");
  REQUIRE_MESSAGE(opened.ok(), (opened.ok() ? "" : opened.error().text()));
  return opened.value();
}

/// One unit: an inverter chain, a buffer with its enable, a jumper, a key with pull-up, a connector.
inline board::SpecFiles bell() {
  return {{"machine.toml", R"(format = 1
id = "bell"
title = "Osprill Bell"
maker = "Osprill"
revision = "A"
[[surrounding]]
ref = "PSU"
type = "supply-unit"
title = "9 V block"
[[surrounding]]
ref = "ear"
type = "operator"
[[function]]
id = "rings"
title = "the bell rings"
kind = "sound"
needs = ["U2.18", "part ear"]
[[function]]
id = "key-a"
kind = "key"
needs = ["net KEY", "content U2.16"]
held = "SW1"
)"},
          {"board.toml", R"(format = 1
title = "main board"
revision = "1"
grounds = ["GND"]
[[supply]]
net = "+5V"
volts = 5
from = "PSU"
[[source]]
net = "CLK"
moves = 0.5
)"},
          {"parts.toml", R"(format = 1
[parts]
U1 = "7404 LS"
U2 = { type = "74244", value = "74LS244", family = "LS", socketed = true, at = [12.5, 40.0] }
R1 = "resistor 4k7"
JP1 = "jumper-open"
SW1 = "key"
J1 = { type = "header", pins = "1..4" }
C1 = "capacitor .1"
)"},
          {"nets.toml", R"(format = 1
[nets]
GND = "U1.7 U2.10 U2.1 SW1.2 J1.1 C1.2"
"+5V" = ["U1.14 U2.20", "R1.1 J1.2 C1.1"]
CLK = "U1.1 J1.3"
"/sheet/NCLK" = "U1.2 U1.3 U2.2"
"/sheet/CK2" = "U1.4 JP1.1"
"~{WR}" = "JP1.2 U2.4 U1.5"
BELL = "U2.18 J1.4"
KEY = "SW1.1 R1.2 U2.17"
OUT = "U2.16"
)"}};
}

/// bell() with text changed in one file; `was` must be there once.
inline board::SpecFiles changed(board::SpecFiles files, const std::string& file, const std::string& was, const std::string& now) {
  std::string& text = files.at(file);
  const std::size_t at = text.find(was);
  REQUIRE(at != std::string::npos);
  REQUIRE(text.find(was, at + 1) == std::string::npos);
  text.replace(at, was.size(), now);
  return files;
}

/// Two units: a scanner board and a key board on one plug pair, straight or by cable W1.
inline board::SpecFiles organ(const std::string& mate = "a = \"scan/J3\"\nb = \"kbd/J1\"\n") {
  return {{"machine.toml", R"(format = 1
id = "organ"
title = "Osprill Organ"
units = ["scan", "kbd"]
[[mate]]
)" + mate + R"([[function]]
id = "key-q"
kind = "key"
needs = ["scan/U1.3"]
held = "SW1"
)"},
          {"scan/board.toml", "format = 1\ngrounds = [\"GND\"]\n[[supply]]\nnet = \"+5V\"\nvolts = 5\n[[source]]\nnet = \"TICK\"\n"},
          {"scan/parts.toml", "format = 1\n[parts]\nU1 = \"7404 LS\"\nJ3 = \"header/4\"\nR1 = \"resistor 1k\"\n"},
          {"scan/nets.toml",
           "format = 1\n[nets]\nGND = \"U1.7 J3.4\"\n\"+5V\" = \"U1.14 R1.1 J3.3\"\nROW = \"U1.2 J3.1\"\nCOL = \"J3.2 U1.3 R1.2\"\nTICK = \"U1.1\"\n"},
          {"kbd/board.toml", "format = 1\ngrounds = [\"GND\"]\n"},
          {"kbd/parts.toml", "format = 1\n[parts]\nJ1 = \"header/4\"\nSW1 = \"key\"\nR1 = \"resistor 100\"\n"},
          {"kbd/nets.toml", "format = 1\n[nets]\nGND = \"J1.4\"\nVK = \"J1.3\"\nROW = \"J1.1 R1.1\"\nK = \"R1.2 SW1.1\"\nKCOL = \"J1.2 SW1.2\"\n"}};
}

inline board::MachineSpec spec(const board::SpecFiles& files) {
  auto read = board::parse_spec(files);
  REQUIRE_MESSAGE(read.ok(), (read.ok() ? "" : read.error().text()));
  return std::move(read).value();
}

inline std::shared_ptr<const board::Machine> machine(const board::SpecFiles& files) {
  auto made = board::build(spec(files), library());
  REQUIRE_MESSAGE(made.ok(), (made.ok() ? "" : made.error().text()));
  return made.value();
}

/// The error of reading or building these files; fails the test when there is none.
inline Error error_of(const board::SpecFiles& files) {
  const auto read = board::parse_spec(files);
  if (!read.ok()) return read.error();
  const auto made = board::build(read.value(), library());
  REQUIRE_FALSE(made.ok());
  return made.error();
}

inline bool says(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// Name of the net a pin is on; "" when on none.
inline std::string net_of(const board::Machine& machine, const std::string& pin) {
  const auto found = machine.find_pin(pin);
  REQUIRE_MESSAGE(found.ok(), pin);
  const auto net = machine.pin(found.value()).net;
  return net.known() ? machine.net(net).name : "";
}

}  // namespace sample
