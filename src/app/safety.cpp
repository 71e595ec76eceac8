#include "app/safety.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "app/outcome_words.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using board::Action;
using board::Machine;
using board::NetId;
using board::NetKind;
using board::PartId;
using observe::Kind;
using observe::Observation;
using observe::Word;

constexpr double kMeterError = 0.005;  ///< of the reading: a cheap meter a few years after its last check
constexpr double kRailThere = 0.8;     ///< of the nominal: below, a bias rail counts as missing
constexpr std::size_t kAllHot = 3;     ///< parts found hot, and none found otherwise

std::vector<const Observation*> seen_in(const observe::History& history, std::size_t first, std::size_t last) {
  std::vector<const Observation*> out;
  for (std::size_t i = first; i < last; ++i)
    if (const auto* seen = std::get_if<Observation>(&history.events()[i])) out.push_back(seen);
  return out;
}
/// Observations since the last repair or change of the board.
std::vector<const Observation*> seen_now(const observe::History& history) {
  const observe::Epoch epoch = history.epochs().back();
  return seen_in(history, epoch.first, epoch.last);
}
/// Observations before it.
std::vector<const Observation*> seen_before(const observe::History& history) { return seen_in(history, 0, history.epochs().back().first); }

/// The last powered reading of every rail.
std::map<NetId, const Observation*> rail_readings(const std::vector<const Observation*>& seen, const Machine& machine) {
  std::map<NetId, const Observation*> out;
  for (const Observation* one : seen) {
    if (one->kind != Kind::volts_dc || one->value.unit != observe::Unit::volts || !one->setup.powered()) continue;
    const auto net = net_of(one->point, machine);
    if (net && machine.net(*net).kind == NetKind::rail) out[*net] = one;
  }
  return out;
}

/// The negative rails that memories with several supplies can't be without, with the first such memory.
std::map<NetId, PartId> bias_rails(const Machine& machine) {
  std::map<NetId, PartId> out;
  for (std::size_t p = 0; p < machine.parts().size(); ++p) {
    const board::Part& part = machine.parts()[p];
    if (!part.fitted || part.type->rate_class != "DRAM") continue;
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const NetId net = machine.pin(machine.pin_of(PartId(p), i)).net;
      if (part.type->pins[i].rail_v < 0 && net.known() && machine.net(net).kind == NetKind::rail) out.emplace(net, PartId(p));
    }
  }
  return out;
}

std::string volts(double value) { return shown_with_unit(value, "V", 3); }

bool over_limit(const board::Net& net, const observe::Value& value) {
  const double limit = std::abs(net.rail_v) * (1 + net.tolerance), least = std::min(std::abs(value.from), std::abs(value.to));
  const bool same_sign = net.rail_v * (value.from + value.to) > 0;
  return same_sign && least > limit * (1 + kMeterError);
}
double share_of_nominal(const board::Net& net, const observe::Value& value) { return (value.from + value.to) / 2 / net.rail_v; }

/// A rail that was dangerous before the last repair or change stays so until it is measured again: what was mended may not have been its cause.
void rails_unproven(const std::map<NetId, const Observation*>& before, const std::map<NetId, const Observation*>& now, const Machine& machine, std::vector<std::string>& out) {
  const auto biases = bias_rails(machine);
  for (const auto& [id, seen] : before) {
    const board::Net& net = machine.net(id);
    const bool bias_gone = biases.count(id) != 0 && share_of_nominal(net, seen->value) < kRailThere;
    if (now.count(id) != 0 || !(over_limit(net, seen->value) || bias_gone)) continue;
    out.push_back(fmt::format("Don't switch on with the board connected: {} read {} before the last repair or change, and has not been measured since. Measure it with the supply alone under a dummy load{}.",
                              net.name, observe::describe(seen->value), bias_gone ? ", or with the memories out" : ""));
  }
}

void rails_over(const std::map<NetId, const Observation*>& rails, const Machine& machine, bool powered, std::vector<std::string>& out) {
  for (const auto& [id, seen] : rails) {
    const board::Net& net = machine.net(id);
    if (!over_limit(net, seen->value)) continue;
    const double limit = std::abs(net.rail_v) * (1 + net.tolerance);
    const std::string what = fmt::format("{} reads {}, its limit is {}.", net.name, observe::describe(seen->value), volts(net.rail_v < 0 ? -limit : limit));
    out.push_back(powered ? "Switch off and unplug now: " + what + " It destroys chips while it is on. Mend the supply first, and try it alone under a dummy load."
                          : "Don't switch on with the board connected: " + what + " Mend the supply first, and try it alone under a dummy load.");
  }
}

void bias_missing(const std::map<NetId, const Observation*>& rails, const Machine& machine, bool powered, std::vector<std::string>& out) {
  for (const auto& [id, part] : bias_rails(machine)) {
    const auto reading = rails.find(id);
    if (reading == rails.end()) continue;
    const board::Net& net = machine.net(id);
    const observe::Value& value = reading->second->value;
    if (share_of_nominal(net, value) >= kRailThere) continue;
    const std::string what = fmt::format("{} reads {}, and {} ({}) is destroyed within seconds without it.", net.name, observe::describe(value), machine.part(part).ref, machine.part(part).type->title);
    out.push_back((powered ? "Switch off and unplug now: " : "Don't switch on with the memories in: ") + what + " Take the memories out if they are in sockets, mend the rail, then measure it again.");
  }
}

void smells(const std::vector<const Observation*>& seen, const Machine& machine, std::vector<std::string>& out) {
  for (const Observation* one : seen) {
    if (one->kind != Kind::smell || one->value.word != Word::bad) continue;
    out.push_back(fmt::format("Switch off and unplug: smoke or a burnt smell {}. Leave it off until you have found where it comes from; pull the plug, don't trust the switch.", one->point.at == observe::Point::At::machine ? "from the machine" : "at " + observe::describe(one->point, machine)));
    return;
  }
}

void all_hot(const std::vector<const Observation*>& seen, std::vector<std::string>& out) {
  std::set<PartId> hot, cool;
  for (const Observation* one : seen)
    if (one->kind == Kind::touch && one->point.at == observe::Point::At::part && one->value.word) (*one->value.word == Word::hot ? hot : cool).insert(one->point.part);
  if (hot.size() >= kAllHot && cool.empty()) out.push_back("Switch off and unplug: everything touched is hot. A rail is too high or all chips are selected at once; take memories and ROMs out if they are in sockets before it is on again.");
}

bool dangerous(const board::Zone& zone) { return zone.hazard == "mains" || zone.hazard == "tube"; }

bool is_open(const board::Zone& zone, const board::Setup& setup) {
  return std::any_of(setup.actions().begin(), setup.actions().end(), [&](const Action& action) {
    return action.kind == Action::Kind::open && (lower(action.what) == lower(zone.open_when) || lower(action.what) + "-off" == lower(zone.open_when));
  });
}

bool holds(const board::Zone& zone, PartId part) { return std::find(zone.parts.begin(), zone.parts.end(), part) != zone.parts.end(); }

/// Parts a point touches; a net counts as in a zone only where all its pins are.
std::vector<PartId> parts_at(const observe::Point& point, const Machine& machine) {
  std::vector<PartId> out;
  if (point.part.known()) out.push_back(point.part);
  for (const board::PinId pin : {point.pin, point.other})
    if (pin.known()) out.push_back(machine.pin(pin).part);
  return out;
}

bool in_zone(const board::Zone& zone, const observe::Point& point, const Machine& machine) {
  const std::vector<PartId> parts = parts_at(point, machine);
  if (!parts.empty()) return std::any_of(parts.begin(), parts.end(), [&](PartId part) { return holds(zone, part); });
  if (point.at != observe::Point::At::net) return false;
  const auto& pins = machine.net(point.net).pins;
  return !pins.empty() && std::all_of(pins.begin(), pins.end(), [&](board::PinId pin) { return holds(zone, machine.pin(pin).part); });
}

/// Sentences, each closed by its full stop.
std::string sentences(const std::vector<std::string>& texts) {
  std::string out;
  for (const std::string& text : texts) {
    if (text.empty()) continue;
    out += (out.empty() ? "" : " ") + text + (text.back() == '.' || text.back() == '!' ? "" : ".");
  }
  return out;
}

std::string static_caution(const std::string& ref) { return ref + " is sensitive to static: touch bare earthed metal first, hold it by its ends, lay it on foil or foam"; }

}  // namespace

std::vector<std::string> stops(const observe::History& history, const Machine& machine) {
  std::vector<std::string> out;
  const auto seen = seen_now(history);
  const auto rails = rail_readings(seen, machine);
  const bool powered = history.state().powered();
  smells(seen, machine, out);
  rails_over(rails, machine, powered, out);
  bias_missing(rails, machine, powered, out);
  rails_unproven(rail_readings(seen_before(history), machine), rails, machine, out);
  all_hot(seen, out);
  return out;
}

std::vector<std::string> bench_cautions(const observe::History& history, const Machine& machine) {
  std::vector<std::string> out;
  const auto rails = rail_readings(seen_now(history), machine);
  for (const auto& [id, part] : bias_rails(machine)) {
    if (rails.count(id)) continue;
    out.push_back(fmt::format("{} is not measured yet, and {} dies without it: one short reading of it first, with the memories out if they are in sockets.", machine.net(id).name, machine.part(part).ref));
  }
  for (const board::Zone& zone : machine.zones())
    if (is_open(zone, history.state())) out.push_back(zone.title + " is open: " + zone.caution);
  return out;
}

std::string caution_for(const fault::Query& query, const board::Setup& now, const Machine& machine) {
  std::vector<std::string> out;
  const std::vector<PartId> here = parts_at(query.point, machine);
  for (const board::Zone& zone : machine.zones())
    if (in_zone(zone, query.point, machine)) out.push_back(zone.caution);
  for (const Action& action : query.setup.actions()) {
    const auto& done = now.actions();
    if (std::find(done.begin(), done.end(), action) != done.end()) continue;
    const PartId moved = action.kind == Action::Kind::pull ? action.part : action.kind == Action::Kind::lift ? machine.pin(action.pin).part : PartId();
    if (!moved.known()) continue;
    if (machine.part(moved).type->mos) out.push_back(static_caution(machine.part(moved).ref));
    if (!machine.part(moved).type->caution.empty()) out.push_back(machine.part(moved).type->caution);
  }
  if (query.kind == Kind::touch) out.push_back("A bad chip can burn the skin: near it first, then a short tap");
  if (query.kind == Kind::piggyback || query.kind == Kind::part_test)
    for (const PartId part : here)
      if (machine.part(part).type->mos) out.push_back(static_caution(machine.part(part).ref));
  return sentences(out);
}

bool may_propose(const fault::Query& query, const Machine& machine, bool qualified, bool stopped) {
  // A part that has been off tells nothing by its warmth.
  if (!query.setup.powered()) return query.kind != Kind::touch;
  if (stopped) return false;
  if (qualified) return true;
  return std::none_of(machine.zones().begin(), machine.zones().end(), [&](const board::Zone& zone) {
    return dangerous(zone) && (in_zone(zone, query.point, machine) || is_open(zone, query.setup));
  });
}

std::vector<std::string> handling(PartId part, const Machine& machine) {
  std::vector<std::string> out;
  for (const board::Zone& zone : machine.zones())
    if (holds(zone, part)) out.push_back(zone.caution);
  const parts::PartType& type = *machine.part(part).type;
  if (type.mos) out.push_back(sentences({static_caution(machine.part(part).ref)}));
  if (!type.caution.empty()) out.push_back(type.caution);
  return out;
}

}  // namespace halfsplit::app
