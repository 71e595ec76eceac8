#include "app/level_margins.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "parts/element.h"

namespace halfsplit::app {
namespace {

using board::Machine;
using board::PinId;

bool pulled_up(const Machine& machine, const board::Net& net) {
  return std::any_of(net.pins.begin(), net.pins.end(), [&](PinId id) {
    const board::Pin& pin = machine.pin(id);
    const board::Part& part = machine.part(pin.part);
    if (!part.fitted) return false;
    for (const parts::Element& element : parts::elements(*part.type)) {
      if (element.kind != parts::Template::resistor || (element.a != pin.index && element.b != pin.index)) continue;
      const board::NetId far = machine.pin(machine.pin_of(pin.part, element.a == pin.index ? element.b : element.a)).net;
      if (far.known() && machine.net(far).kind == board::NetKind::rail) return true;
    }
    return false;
  });
}

const parts::Family* family_at(const Machine& machine, PinId pin) {
  const board::Part& part = machine.part(machine.pin(pin).part);
  return part.fitted ? part.family : nullptr;
}

/// One listening part against the outputs of one family.
struct Doubt {
  std::string input;
  const parts::Family *takes, *drives;
  std::vector<std::string> drivers;
};

void note(std::vector<Doubt>& doubts, const Machine& machine, PinId driver, PinId input) {
  const std::string& to = machine.part(machine.pin(input).part).ref;
  const std::string& from = machine.part(machine.pin(driver).part).ref;
  const parts::Family *takes = family_at(machine, input), *drives = family_at(machine, driver);
  auto same = std::find_if(doubts.begin(), doubts.end(), [&](const Doubt& one) { return one.input == to && one.drives == drives; });
  if (same == doubts.end()) same = doubts.insert(doubts.end(), Doubt{to, takes, drives, {}});
  if (std::find(same->drivers.begin(), same->drivers.end(), from) == same->drivers.end()) same->drivers.push_back(from);
}

}  // namespace

std::vector<std::string> level_margins(const Machine& machine) {
  std::vector<Doubt> doubts;
  for (const board::Net& net : machine.nets()) {
    if (net.kind != board::NetKind::signal || pulled_up(machine, net)) continue;
    for (const PinId driver : net.pins) {
      const parts::Family* drives = family_at(machine, driver);
      if (!drives || !parts::can_drive(machine.pin_type(driver).role)) continue;
      for (const PinId input : net.pins) {
        const parts::Family* takes = family_at(machine, input);
        const bool other = takes && machine.pin(input).part != machine.pin(driver).part && parts::listens(machine.pin_type(input).role);
        if (other && drives->high_v < takes->input_high_v) note(doubts, machine, driver, input);
      }
    }
  }
  std::vector<std::string> out;
  for (const Doubt& doubt : doubts)
    out.push_back(fmt::format("{} ({}) wants {} for a high, {} ({}) give{} about {}: it may or may not be taken. A pull-up of 1k to 4.7k a line cures that, or a family with TTL inputs.", doubt.input, doubt.takes->id,
                              shown_with_unit(doubt.takes->input_high_v, "V", 2), join(doubt.drivers, ", "), doubt.drives->id, doubt.drivers.size() == 1 ? "s" : "", shown_with_unit(doubt.drives->high_v, "V", 2)));
  return out;
}

}  // namespace halfsplit::app
