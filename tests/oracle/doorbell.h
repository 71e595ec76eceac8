// oracle/doorbell.h - a small invented machine: gate U1 drives U2 and U3 over one line; who holds the line down shows only when one of them is out.
#pragma once
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "board/spec.h"
#include "oracle/told_predictor.h"
#include "parts/library.h"

namespace oracle {

struct Doorbell {
  std::shared_ptr<const halfsplit::board::Machine> machine;
  std::unique_ptr<ToldPredictor> predictor;
  halfsplit::fault::Query line;  ///< probe at U1.3

  halfsplit::board::PartId part(const char* ref) const { return machine->find_part(ref).value(); }
  halfsplit::board::PinId pin(const char* text) const { return machine->find_pin(text).value(); }
};

namespace doorbell_detail {

using namespace halfsplit;

inline std::shared_ptr<const board::Machine> machine() {
  const auto library = parts::Library::open(HALFSPLIT_SOURCE_DIR "/shared/parts");
  REQUIRE_MESSAGE(library.ok(), (library.ok() ? "" : library.error().text()));
  board::MachineSpec spec;
  spec.id = "doorbell";
  spec.title = "Osprill Doorbell";
  board::UnitSpec unit;
  unit.name = "main";
  const auto add = [&](const char* ref, const char* type, bool socketed) {
    board::PartSpec part;
    part.ref = ref;
    part.type = type;
    part.family = "LS";
    part.socketed = socketed;
    unit.parts.push_back(part);
  };
  add("U1", "7400", false);
  add("U2", "7404", true);
  add("U3", "7404", true);
  const auto net = [&](const char* name, std::initializer_list<std::pair<const char*, const char*>> pins) {
    board::NetSpec made;
    made.name = name;
    for (const auto& [ref, number] : pins) made.pins.push_back({ref, number, {}});
    unit.nets.push_back(made);
  };
  net("LINE", {{"U1", "3"}, {"U2", "1"}, {"U3", "1"}});
  net("PRESS", {{"U1", "1"}, {"U1", "2"}});
  net("+5V", {{"U1", "14"}, {"U2", "14"}, {"U3", "14"}});
  net("GND", {{"U1", "7"}, {"U2", "7"}, {"U3", "7"}});
  unit.grounds = {"GND"};
  unit.supplies.push_back({"+5V", 5, 0.05, "", {}});
  spec.units.push_back(unit);
  const auto built = board::build(spec, library.value());
  REQUIRE_MESSAGE(built.ok(), (built.ok() ? "" : built.error().text()));
  return built.value();
}

inline fault::Outcome word(observe::Word word) {
  fault::Outcome out;
  out.form = fault::Outcome::Form::words;
  out.p[static_cast<std::size_t>(word)] = 1;
  return out;
}
inline fault::Outcome number(double mean, double deviation, observe::Unit unit) {
  fault::Outcome out;
  out.form = fault::Outcome::Form::number;
  out.unit = unit;
  out.parts[0] = {1, static_cast<float>(mean), static_cast<float>(deviation)};
  return out;
}

}  // namespace doorbell_detail

/// Faults: 0 U1 output stuck low, 1 U2 drags the line, 2 U3 drags the line, 3 U1 shorts the rail.
inline Doorbell doorbell() {
  using namespace doorbell_detail;
  Doorbell made;
  made.machine = machine();
  std::vector<fault::Fault> faults(4);
  const char* refs[] = {"U1", "U2", "U3", "U1"};
  const char* pins[] = {"U1.3", "U2.1", "U3.1", "U1.14"};
  const char* modes[] = {"output-stuck-low", "input-leaky", "input-leaky", "supply-short"};
  const parts::Effect effects[] = {parts::Effect::stuck_low, parts::Effect::drags, parts::Effect::drags, parts::Effect::shorted};
  for (std::size_t i = 0; i < 4; ++i) {
    faults[i].site.part = made.part(refs[i]);
    faults[i].pin = made.pin(pins[i]);
    faults[i].mode = modes[i];
    faults[i].effect = effects[i];
  }
  auto catalogue = fault::Catalogue::of(faults, {fault::SiteId(0), fault::SiteId(1), fault::SiteId(2), fault::SiteId(0)}, {"U1", "U2", "U3"});
  made.line.point.at = observe::Point::At::leg;
  made.line.point.pin = made.pin("U1.3");
  fault::Query far = made.line, volts = made.line, ohms = made.line;
  far.point.pin = made.pin("U2.1");
  volts.kind = observe::Kind::volts_dc;
  volts.point = {};
  volts.point.at = observe::Point::At::net;
  volts.point.net = made.machine->find_net("+5V").value();
  ohms.kind = observe::Kind::ohms;
  ohms.point = volts.point;
  const auto out = [](const fault::Query& query, board::PartId part) {
    const auto& actions = query.setup.actions();
    return std::any_of(actions.begin(), actions.end(), [&](const board::Action& action) { return action.kind == board::Action::Kind::pull && action.part == part; });
  };
  const auto lifted = [](const fault::Query& query, board::PinId pin) {
    const auto& actions = query.setup.actions();
    return std::any_of(actions.begin(), actions.end(), [&](const board::Action& action) { return action.kind == board::Action::Kind::lift && action.pin == pin; });
  };
  const board::PartId part_of[] = {made.part("U1"), made.part("U2"), made.part("U3"), made.part("U1")};
  const board::PinId pin_of[] = {made.pin("U1.3"), made.pin("U2.1"), made.pin("U3.1"), made.pin("U1.14")};
  const auto tell = [=](const fault::Hypothesis& hypothesis, const fault::Query& query) {
    bool low = false, shorted = false;
    for (const fault::FaultId id : hypothesis) {
      const std::size_t i = id.index();
      if (out(query, part_of[i])) continue;
      if (i == 3) shorted = true;
      else low = low || !lifted(query, pin_of[i]) || query.point.pin == pin_of[i];
    }
    if (query.kind == observe::Kind::volts_dc) return shorted ? number(0.3, 0.2, observe::Unit::volts) : number(5, 0.1, observe::Unit::volts);
    if (query.kind == observe::Kind::ohms) return shorted ? number(1, 0.5, observe::Unit::ohms) : number(300, 80, observe::Unit::ohms);
    if (shorted || low) return word(observe::Word::low);
    return out(query, part_of[0]) || lifted(query, pin_of[0]) ? word(observe::Word::floating) : word(observe::Word::pulsing);
  };
  made.predictor = std::make_unique<ToldPredictor>(made.machine, std::move(catalogue), std::vector{made.line, far, volts, ohms}, tell);
  return made;
}

}  // namespace oracle
