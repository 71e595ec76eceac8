// tests/observe/bench_machine.h - a small invented machine with everything a reading can name: chips, two-legged parts, plugs, rails, keys, names that clash.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "board/machine.h"
#include "board/spec.h"
#include "parts/library.h"

namespace bench {

using namespace halfsplit;

inline void add_part(board::UnitSpec& unit, const std::string& ref, const std::string& type, const std::string& value = {}) {
  board::PartSpec part;
  part.ref = ref;
  part.type = type;
  part.value = value;
  part.socketed = ref[0] == 'U';
  unit.parts.push_back(part);
}

/// "U5.2 J3.1" -> pins of a net.
inline void add_net(board::UnitSpec& unit, const std::string& name, const std::string& pins) {
  board::NetSpec net;
  net.name = name;
  std::size_t at = 0;
  while (at < pins.size()) {
    const std::size_t end = std::min(pins.find(' ', at), pins.size());
    const std::string pin = pins.substr(at, end - at);
    net.pins.push_back({pin.substr(0, pin.find('.')), pin.substr(pin.find('.') + 1), {}});
    at = end + 1;
  }
  unit.nets.push_back(net);
}

inline board::MachineSpec spec() {
  board::MachineSpec out;
  out.id = "bench";
  out.title = "bench machine";
  out.revision = "1";
  board::UnitSpec unit;
  unit.name = "main";
  for (const char* ref : {"U4", "U7", "U38"}) add_part(unit, ref, "7400");
  for (const char* ref : {"U5", "IC12"}) add_part(unit, ref, "74244");
  add_part(unit, "X1", "oscillator-dip14", "3.58MHz");
  add_part(unit, "R7", "resistor", "220");
  add_part(unit, "C12", "capacitor-polarised", "47u");
  add_part(unit, "D5", "diode", "1N4148");
  add_part(unit, "T1", "mains-suppressor", "100n");
  for (const char* ref : {"J3", "J4", "C"}) {
    add_part(unit, ref, "header");
    unit.parts.back().pin_numbers = {"1", "2", "3", "4"};
  }
  add_part(unit, "Q3", "npn", "BC547");
  add_part(unit, "SW1", "key");
  add_net(unit, "+5V", "U4.14 U7.14 U38.14 U5.20 IC12.20 X1.14 R7.1 C12.1");
  add_net(unit, "GND", "U4.7 U7.7 U38.7 U5.10 IC12.10 X1.7 C12.2 Q3.E SW1.2");
  add_net(unit, "-5V", "J3.4 J4.4");
  add_net(unit, "A0", "U5.2 J3.1 U7.1");
  add_net(unit, "A1", "U5.4 J3.2 U7.2");
  add_net(unit, "A2", "U5.6 J3.3 U7.4");
  add_net(unit, "A5", "U5.8 J4.1 U7.5");
  add_net(unit, "D5", "U5.18 J4.2 D5.A");
  add_net(unit, "SOUND", "U7.3 R7.2 Q3.B");
  add_net(unit, "CLK", "X1.8 U38.1 U38.2");
  add_net(unit, "Q", "U38.11 U4.1");
  add_net(unit, "KEYA", "SW1.1 U4.2");
  add_net(unit, "LIVE", "T1.1 J4.3");
  unit.grounds = {"GND"};
  unit.supplies.push_back({"+5V", 5, 0.05, "", {}});
  unit.supplies.push_back({"-5V", -5, 0.05, "", {}});
  out.units.push_back(unit);
  const auto function = [&](const char* id, const char* title, const char* kind, const char* need, const char* held = "") {
    board::FunctionSpec one;
    one.id = id;
    one.title = title;
    one.kind = kind;
    one.needs = {need};
    one.held = held;
    out.functions.push_back(one);
  };
  function("runs", "the machine starts", "runs", "U38.11");
  function("picture", "picture on the display", "picture", "U5.18");
  function("sound", "sound from the speaker", "sound", "U7.3");
  function("key-a", "key A", "key", "U4.2", "SW1");
  board::ZoneSpec zone;
  zone.id = "mains";
  zone.title = "mains side of the supply";
  zone.hazard = "mains";
  zone.caution = "Mains voltage.";
  zone.open_when = "supply-lid-off";
  zone.parts = {"T1"};
  out.zones.push_back(zone);
  return out;
}

/// The machine, built once.
inline const board::Machine& machine() {
  static const std::shared_ptr<const board::Machine> built = [] {
    auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
    HS_REQUIRE(library.ok(), "part library opens");
    auto out = board::build(spec(), *library);
    HS_REQUIRE(out.ok(), out.ok() ? "" : out.error().text().c_str());
    return *out;
  }();
  return *built;
}

}  // namespace bench
