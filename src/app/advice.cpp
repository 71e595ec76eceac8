#include "app/advice.h"

#include <fmt/core.h>

#include <algorithm>

#include "app/outcome_words.h"
#include "app/safety.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using board::Action;
using observe::Kind;
using observe::Point;

constexpr double kWorthReseating = 0.05;  ///< share of joint and contact modes within the suspect

double share_of(const fault::Suspect& suspect, const std::string& mode) {
  double sum = 0;
  for (const fault::ModeShare& share : suspect.modes)
    if (share.mode == mode) sum += share.p;
  return suspect.p > 0 ? sum / suspect.p : 0;
}

std::vector<std::string> places_of(const fault::Suspect& suspect, const std::string& mode) {
  constexpr std::size_t kMost = 4;
  std::vector<std::string> out;
  for (const fault::ModeShare& share : suspect.modes)
    if (share.mode == mode && share.p >= 0.1 * suspect.p && out.size() < kMost) out.push_back(share.at);
  return out;
}

std::string bad_functions(const Sitting& sitting) {
  std::vector<std::string> out;
  for (const fault::Evidence& piece : sitting.evidence()) {
    if (piece.query.kind != Kind::function || piece.query.point.at != Point::At::function || piece.value.word == observe::Word::right) continue;
    const std::string& title = sitting.machine().function(piece.query.point.function).title;
    if (std::find(out.begin(), out.end(), title) == out.end()) out.push_back(title);
  }
  return join(out, ", ");
}

std::string word_of(const Action& action, bool undo, const board::Machine& machine) {
  const auto part = [&] { return machine.part(action.part).ref; };
  const auto pin = [&] { return machine.name_of(action.pin); };
  switch (action.kind) {
    case Action::Kind::power_off: return undo ? "power-on" : "power-off";
    case Action::Kind::pull: return part() + (undo ? "-in" : "-out");
    case Action::Kind::lift: return pin() + (undo ? "-down" : "-lifted");
    case Action::Kind::unplug: return part() + (undo ? "-plugged" : "-unplugged");
    case Action::Kind::bridge: return pin() + "-" + machine.name_of(action.other) + (undo ? "-unbridged" : "-bridged");
    case Action::Kind::hold: return part() + (undo ? "-released" : "-held");
    case Action::Kind::force_low: return pin() + (undo ? "-free" : "-low");
    case Action::Kind::force_high: return pin() + (undo ? "-free" : "-high");
    case Action::Kind::open: return action.what + (undo ? "-on" : "-off");
    case Action::Kind::fit: break;  // told by swap_words()
  }
  return {};
}

bool holds(const board::Setup& setup, const Action& action) { return std::find(setup.actions().begin(), setup.actions().end(), action) != setup.actions().end(); }

std::string take_out(const board::Part& part) {
  if (part.socketed) return fmt::format("Lift {} out of its socket with a puller, evenly at both ends; note where pin 1 is.", part.ref);
  return fmt::format("Note where pin 1 of {} is, then unsolder it; where the board matters more than the part, cut its legs at the body and take them out one by one.", part.ref);
}

std::string fit_new(const board::Part& part) {
  const auto& same = part.type->equivalents;
  const std::string other = same.empty() ? "" : fmt::format(" ({} will do as well)", join(same, ", "));
  return fmt::format("Fit a good {}{}, pin 1 where it was{}.", part.value.empty() ? part.type->title : part.value, other, part.socketed || part.pin_count < 8 ? "" : "; a socket saves the pads next time");
}

}  // namespace

void add_repair_advice(report::Next& next, const fault::Suspect& suspect, Sitting& sitting) {
  const fault::Catalogue& catalogue = sitting.model().catalogue();
  const board::Machine& machine = sitting.machine();
  board::PartId id;
  for (const fault::FaultId fault : catalogue.faults_at(suspect.site))
    if (!id.known()) id = catalogue.fault(fault).site.part;
  if (!id.known()) return;
  const board::Part& part = machine.part(id);
  next.handling = handling(id, machine);
  auto& steps = next.repair_steps;
  if (const auto rails = part.surroundings ? std::vector<board::NetId>() : unproven_rails(id, sitting.history(), machine); !rails.empty()) {
    std::vector<std::string> names;
    for (const board::NetId net : rails) names.push_back(machine.net(net).name);
    steps.push_back(fmt::format("Prove {} first (halfsplit read {} ...): a rail too high, or outputs fighting, would take the new part too.", join(names, ", "), names.front()));
  }
  if (sitting.state().powered()) steps.push_back("Switch off and pull the plug.");
  if (part.surroundings) {
    steps.push_back(fmt::format("Try another {} ({}).", part.type->title, part.ref));
  } else {
    if (share_of(suspect, fault::kDrawingWrong) >= kWorthReseating) steps.push_back("Check with the meter that the drawing is right at " + join(places_of(suspect, fault::kDrawingWrong), ", ") + ".");
    const auto joints = places_of(suspect, fault::kJointOpen);
    if (part.socketed && share_of(suspect, fault::kJointOpen) >= kWorthReseating) steps.push_back(fmt::format("First reseat {}: out, clean the legs, in again; try the machine. It costs a minute.", part.ref));
    else if (!joints.empty() && share_of(suspect, fault::kJointOpen) >= kWorthReseating) steps.push_back("First solder " + join(joints, ", ") + " anew and try the machine.");
    steps.push_back(take_out(part));
    steps.push_back(fit_new(part));
  }
  if (const std::string text = before_connecting(id, machine); !text.empty()) steps.push_back(text);
  const std::string functions = bad_functions(sitting);
  steps.push_back("Switch on and try: " + (functions.empty() ? "everything that didn't work" : functions) + ".");
  steps.push_back(fmt::format("Type what you did: halfsplit repair {} replaced; then what works now: halfsplit symptom ...", part.ref));
}

std::string change_words(const board::Setup& from, const board::Setup& to, const board::Machine& machine) {
  const Action off{Action::Kind::power_off, {}, {}, {}, {}};
  std::vector<std::string> words;
  for (const Action& action : from.actions())
    if (!(action == off) && action.kind != Action::Kind::fit && !holds(to, action)) words.push_back(word_of(action, true, machine));
  for (const Action& action : to.actions())
    if (!(action == off) && action.kind != Action::Kind::fit && !holds(from, action)) words.push_back(word_of(action, false, machine));
  if (from.powered() && !to.powered()) words.push_back("power-off");
  if (!from.powered() && to.powered()) words.push_back("power-on");
  return join(words, " ");
}

std::string before_first_power(const Sitting& sitting) {
  const board::Machine& machine = sitting.machine();
  for (const observe::Event& event : sitting.history().events()) {
    const auto* seen = std::get_if<observe::Observation>(&event);
    if (!seen || seen->on_good) continue;
    const bool measured = seen->kind != Kind::function && seen->kind != Kind::look && seen->kind != Kind::smell && seen->kind != Kind::count;
    const bool life = seen->kind == Kind::function && seen->value.word && *seen->value.word != observe::Word::dead;
    if (measured || life) return {};
  }
  std::vector<std::string> rails;
  for (const board::Net& net : machine.nets())
    if (net.kind == board::NetKind::rail) rails.push_back(net.name);
  std::string out = "Before it is switched on: look for burnt, leaking, missing and wrongly fitted parts";
  if (!rails.empty()) out += "; measure ohms from " + join(rails, ", ") + " to ground, a few ohms or less is a short (halfsplit read " + rails.front() + "-GND 284R)";
  return out + "; then the supply alone, then the rails, then the rest.";
}

}  // namespace halfsplit::app
