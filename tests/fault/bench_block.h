// A small invented machine of two units for tests: a board with memory, buffer, regulator and socketed ROM, and a keyboard plugged into it.
#pragma once
#include <doctest/doctest.h>

#include <memory>
#include <string>
#include <vector>

#include "base/text.h"
#include "board/spec.h"

namespace bench_block {

using namespace halfsplit;

inline std::shared_ptr<const parts::Library> library() {
  static const auto opened = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
  REQUIRE_MESSAGE(opened.ok(), (opened.ok() ? "" : opened.error().text()));
  return opened.value();
}

/// "U1 74244 LS socketed": reference, type, and any of family, value=..., socketed, missing.
inline void add_parts(board::UnitSpec& unit, const std::vector<std::string>& lines) {
  for (const std::string& line : lines) {
    const auto pieces = words(line);
    board::PartSpec part;
    part.ref = pieces[0];
    part.type = pieces[1];
    for (std::size_t i = 2; i < pieces.size(); ++i) {
      if (pieces[i] == "socketed") part.socketed = true;
      else if (pieces[i] == "missing") part.fitted = false;
      else if (starts_with(pieces[i], "value=")) part.value = std::string(pieces[i].substr(6));
      else if (starts_with(pieces[i], "pins=")) for (const auto pin : split(pieces[i].substr(5), ',')) part.pin_numbers.emplace_back(pin);
      else part.family = std::string(pieces[i]);
    }
    unit.parts.push_back(std::move(part));
  }
}
/// "D0 U1.18 U2.9": net, then its pins.
inline void add_nets(board::UnitSpec& unit, const std::vector<std::string>& lines) {
  for (const std::string& line : lines) {
    const auto pieces = words(line);
    board::NetSpec net;
    net.name = std::string(pieces[0]);
    for (std::size_t i = 1; i < pieces.size(); ++i) {
      const std::size_t dot = pieces[i].rfind('.');
      net.pins.push_back({std::string(pieces[i].substr(0, dot)), std::string(pieces[i].substr(dot + 1)), {}});
    }
    unit.nets.push_back(std::move(net));
  }
}
inline void add_function(board::MachineSpec& spec, const std::string& id, const std::string& title, const std::string& kind, const std::string& need, const std::string& held = "") {
  board::FunctionSpec function;
  function.id = id;
  function.title = title;
  function.kind = kind;
  function.needs = {need};
  function.held = held;
  spec.functions.push_back(std::move(function));
}

inline board::MachineSpec spec() {
  board::MachineSpec out;
  out.id = "bench-block";
  out.title = "bench block";
  board::UnitSpec main, kbd;
  main.name = "main";
  add_parts(main, {"U1 74244 LS", "U2 6116", "U3 2716 socketed", "U10 7400 LS", "U9 7400 LS missing", "VR1 7805", "C1 capacitor value=100n", "C2 capacitor-tantalum value=10u",
                   "C3 capacitor-tantalum value=10u", "R1 resistor value=4k7", "J1 header pins=1,2,3"});
  add_nets(main, {"+12V VR1.1 C2.1", "+5V VR1.3 U1.20 U2.24 U3.24 U10.14 C1.1 C3.1 R1.1", "GND VR1.2 U1.10 U2.12 U3.12 U10.7 C1.2 C2.2 C3.2 J1.1 U1.1",
                  "D0 U1.18 U2.9 U3.9", "D1 U1.16 U2.10 U3.10", "A0 U2.8 U3.8 U10.1", "OUT U10.3 U1.2", "ROW R1.2 J1.2 U1.4", "COL J1.3 U10.2"});
  main.grounds = {"GND"};
  main.supplies = {{"+12V", 12, 0.05, "brick", {}}, {"+5V", 5, 0.05, "", {}}};
  kbd.name = "kbd";
  add_parts(kbd, {"J1 header pins=1,2,3", "SW1 key", "SW2 key"});
  add_nets(kbd, {"GND J1.1", "ROW J1.2 SW1.1 SW2.1", "COL J1.3 SW1.2 SW2.2"});
  kbd.grounds = {"GND"};
  out.units = {main, kbd};
  out.mates = {{"main/J1", "kbd/J1", {}, "", {}}};
  board::PartSpec brick, display;
  brick.ref = "brick";
  brick.type = "supply-unit";
  display.ref = "tv";
  display.type = "display";
  out.surroundings = {brick, display};
  add_function(out, "runs", "program runs", "runs", "U1.18");
  add_function(out, "picture", "picture on the display", "picture", "U1.16");
  add_function(out, "sound", "sound from the speaker", "sound", "U10.3");
  add_function(out, "key-a", "key A", "key", "U1.4", "kbd/SW1");
  add_function(out, "key-5", "key 5", "key", "U1.4", "kbd/SW2");
  add_function(out, "cassette", "loading from cassette", "cassette", "U10.3");
  return out;
}

inline std::shared_ptr<const board::Machine> machine(const board::MachineSpec& from = spec()) {
  const auto built = board::build(from, library());
  REQUIRE_MESSAGE(built.ok(), (built.ok() ? "" : built.error().text()));
  return built.value();
}

}  // namespace bench_block
