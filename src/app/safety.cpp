#include "app/safety.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "app/current_draw.h"
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
constexpr std::size_t kAllSelected = 3;  ///< selects read active, and none read otherwise
constexpr double kFarAbove = 2, kLeastAbove = 0.3;  ///< current: of the usual, and amperes above it

std::vector<const Observation*> seen_in(const observe::History& history, std::size_t first, std::size_t last) {
  std::vector<const Observation*> out;
  for (std::size_t i = first; i < last; ++i)
    if (const auto* seen = std::get_if<Observation>(&history.events()[i]); seen && !seen->on_good) out.push_back(seen);
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

/// A negative rail of memories that is not measured yet, with the machine on.
void bias_unmeasured(const std::map<NetId, const Observation*>& rails, const Machine& machine, bool powered, std::vector<std::string>& out) {
  if (!powered) return;
  for (const auto& [id, part] : bias_rails(machine))
    if (rails.count(id) == 0)
      out.push_back(fmt::format("Switch off: {} is not measured yet, and {} ({}) is destroyed within seconds without it. Take the memories out if they are in sockets, then one short reading of {}, a few seconds on.",
                                machine.net(id).name, machine.part(part).ref, machine.part(part).type->title, machine.net(id).name));
}

void current_over(const std::vector<const Observation*>& seen, const Machine& machine, std::vector<std::string>& out) {
  const Observation* last = nullptr;
  for (const Observation* one : seen)
    if (one->kind == Kind::current && one->point.at == observe::Point::At::machine && one->value.unit == observe::Unit::amps) last = one;
  const double usual = usual_amps(machine);
  if (!last || usual <= 0 || std::min(last->value.from, last->value.to) <= std::max(kFarAbove * usual, usual + kLeastAbove)) return;
  out.push_back(fmt::format("Switch off and unplug now: the machine takes {}, far above the {} that its chips take together at most. Look for a short or a reversed part with ohms on the rails before it is on again.", observe::describe(last->value),
                            shown_with_unit(usual, "A", 2)));
}

/// Selects of memories and chips on the bus: active-low inputs named CE, CS.
bool is_select(board::PinId pin, const Machine& machine) {
  const auto& type = machine.pin_type(pin);
  return type.active_low && (starts_with(type.name, "CE") || starts_with(type.name, "CS"));
}

void all_selected(const std::vector<const Observation*>& seen, const Machine& machine, std::vector<std::string>& out) {
  std::map<NetId, bool> active;
  for (const Observation* one : seen) {
    if (one->kind != Kind::probe || !one->setup.powered() || !one->value.word) continue;
    const auto net = net_of(one->point, machine);
    if (!net) continue;
    const auto& pins = machine.net(*net).pins;
    if (std::any_of(pins.begin(), pins.end(), [&](board::PinId pin) { return is_select(pin, machine); })) active[*net] = *one->value.word == Word::low;
  }
  const bool all = std::all_of(active.begin(), active.end(), [](const auto& one) { return one.second; });
  if (active.size() >= kAllSelected && all) out.push_back("Switch off and unplug: every select that was read is active at once, so chips drive against each other. Take memories and ROMs out if they are in sockets, and mend the decoder before it is on again.");
}

bool dangerous(const board::Zone& zone) { return zone.hazard == "mains" || zone.hazard == "tube"; }

/// "supply-lid-off" -> "supply-lid".
std::string cover_of(const board::Zone& zone) {
  const std::string low = lower(zone.open_when);
  return low.substr(0, ends_with(low, "-off") ? low.size() - 4 : low.size());
}

bool is_open(const board::Zone& zone, const board::Setup& setup) {
  return std::any_of(setup.actions().begin(), setup.actions().end(), [&](const Action& action) { return action.kind == Action::Kind::open && !zone.open_when.empty() && lower(action.what) == cover_of(zone); });
}

/// Instruments whose ground clip is earthed, or may be.
bool earthed(Kind kind) {
  return kind == Kind::probe || kind == Kind::triggered || kind == Kind::frequency || kind == Kind::swing || kind == Kind::ripple || kind == Kind::duration || kind == Kind::content;
}

bool is_supply(const board::Part& part) {
  const std::string name = lower(part.type->rate_class);
  return name == "regulator" || name == "supply unit" || name == "converter";
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
  current_over(seen, machine, out);
  bias_missing(rails, machine, powered, out);
  bias_unmeasured(rails, machine, powered, out);
  rails_unproven(rail_readings(seen_before(history), machine), rails, machine, out);
  all_hot(seen, out);
  all_selected(seen, machine, out);
  return out;
}

std::vector<NetId> short_looks(const observe::History& history, const Machine& machine) {
  std::vector<NetId> out;
  const auto rails = rail_readings(seen_now(history), machine);
  for (const auto& [id, part] : bias_rails(machine))
    if (rails.count(id) == 0) out.push_back(id);
  return history.state().powered() && stops(history, machine).size() > out.size() ? std::vector<NetId>() : out;
}

std::vector<std::string> bench_cautions(const observe::History& history, const Machine& machine, bool qualified) {
  std::vector<std::string> out;
  const auto rails = rail_readings(seen_now(history), machine);
  for (const auto& [id, part] : bias_rails(machine)) {
    if (rails.count(id) || history.state().powered()) continue;  // switched on it is a stop
    out.push_back(fmt::format("{} is not measured yet, and {} dies without it: one short reading of it first, with the memories out if they are in sockets.", machine.net(id).name, machine.part(part).ref));
  }
  for (const board::Zone& zone : machine.zones())
    if (is_open(zone, history.state())) {
      out.push_back(zone.title + " is open: " + zone.caution);
      if (dangerous(zone) && !qualified) out.back() += fmt::format(" Nothing with the power on is proposed until the {} is back on.", cover_of(zone));
    }
  return out;
}

std::vector<std::string> cautions_on(const Observation& seen, const Machine& machine, bool qualified) {
  std::vector<std::string> out;
  for (const board::Zone& zone : machine.zones())
    if (dangerous(zone) && !qualified && (in_zone(zone, seen.point, machine) || (seen.setup.powered() && is_open(zone, seen.setup))))
      out.push_back(zone.caution + " The reading is kept; nothing more is proposed there.");
  const bool look = (seen.kind == Kind::look || seen.kind == Kind::smell) && seen.value.word == Word::bad;
  const std::string told = lower(seen.value.note + " " + seen.typed);
  if (look && (told.find("leak") != std::string::npos || told.find("crust") != std::string::npos || told.find("electrolyte") != std::string::npos))
    out.push_back("Leaked chemistry: gloves and eye protection first; find out what leaked before anything wet goes on it (nickel-cadmium and alkaline cells leave alkali, sealed lead cells acid). No power until it is cleaned off and dry.");
  return out;
}

std::vector<std::string> cautions_on(const observe::Repair& repair, const Machine& machine) {
  std::vector<std::string> out;
  if (repair.act == observe::Repair::Act::cleaned) out.push_back("Solvents: air the room, no flame, no power until everything is dry.");
  if (repair.act != observe::Repair::Act::cleaned && repair.act != observe::Repair::Act::adjusted)
    if (std::string text = before_connecting(repair.part, machine); !text.empty()) out.push_back(std::move(text));
  return out;
}

std::vector<std::string> cautions_on(const observe::StateChange& change, const board::Setup& before, const Machine& machine) {
  std::vector<std::string> moved, out;
  const auto has = [](const board::Setup& setup, const Action& action) { return std::find(setup.actions().begin(), setup.actions().end(), action) != setup.actions().end(); };
  const auto take = [&](const board::Setup& in, const board::Setup& than) {
    for (const Action& action : in.actions())
      if (!has(than, action) && (action.kind == Action::Kind::pull || action.kind == Action::Kind::lift || action.kind == Action::Kind::unplug || action.kind == Action::Kind::bridge))
        moved.push_back(board::describe(action, machine));
  };
  take(change.now, before);
  take(before, change.now);
  // With the power off before or after, the order of one line is the person's own.
  if (!moved.empty() && before.powered() && change.now.powered()) out.push_back("Chips, pins, plugs and clips are moved with the power off only (state power-off): " + join(moved, ", ") + ".");
  for (const Action& action : before.actions())
    if (action.kind == Action::Kind::unplug && !has(change.now, action))
      if (std::string text = before_connecting(action.part, machine); !text.empty()) out.push_back(std::move(text));
  return out;
}

std::string before_connecting(PartId part, const Machine& machine) {
  if (!is_supply(machine.part(part))) return {};
  std::vector<std::string> rails;
  for (const board::Net& net : machine.nets())
    if (net.kind == NetKind::rail) rails.push_back(net.name);
  return fmt::format("Before {} is connected to the board: ohms from {} to ground; the supply alone under a dummy load; polarity, AC or DC; and that no plug of the same shape is taken for another.", machine.part(part).ref, join(rails, ", "));
}

std::vector<NetId> unproven_rails(PartId id, const observe::History& history, const Machine& machine) {
  std::vector<NetId> out;
  const auto rails = rail_readings(seen_now(history), machine);
  for (std::size_t i = 0; i < machine.part(id).pin_count; ++i) {
    const NetId net = machine.pin(machine.pin_of(id, i)).net;
    if (!net.known() || machine.net(net).kind != NetKind::rail || std::find(out.begin(), out.end(), net) != out.end()) continue;
    const auto reading = rails.find(net);
    if (reading == rails.end() || over_limit(machine.net(net), reading->second->value)) out.push_back(net);
  }
  return out;
}

bool rail_proven(NetId rail, const observe::History& history, const Machine& machine) {
  const auto rails = rail_readings(seen_now(history), machine);
  const auto reading = rails.find(rail);
  if (reading == rails.end()) return false;
  const board::Net& net = machine.net(rail);
  return !over_limit(net, reading->second->value) && share_of_nominal(net, reading->second->value) >= 1 - net.tolerance - kMeterError;
}

std::vector<std::string> cautions_for(const fault::Query& query, const board::Setup& now, const Machine& machine) {
  std::vector<std::string> out;
  const std::vector<PartId> here = parts_at(query.point, machine);
  for (const board::Zone& zone : machine.zones())
    if (in_zone(zone, query.point, machine)) {
      out.push_back(zone.caution);
      if (zone.hazard == "tube" && !query.setup.powered()) out.push_back("Discharge the tube anew after each time it was on");
    }
  if (query.kind == Kind::function && query.point.at == observe::Point::At::function) {
    const std::string& kind = machine.function(query.point.function).kind;
    if (kind == "cassette" || kind == "disk") out.push_back(fmt::format("Only a {} that may be lost goes into a drive under suspicion", kind == "disk" ? "disk" : "tape"));
  }
  if (query.kind == Kind::piggyback) out.push_back("Set it on and take it off with the power off");
  for (const Action& action : query.setup.actions()) {
    const auto& done = now.actions();
    if (std::find(done.begin(), done.end(), action) != done.end()) continue;
    const PartId moved = action.kind == Action::Kind::pull || action.kind == Action::Kind::fit ? action.part : action.kind == Action::Kind::lift ? machine.pin(action.pin).part : PartId();
    if (!moved.known()) continue;
    if (machine.part(moved).type->mos) out.push_back(static_caution(machine.part(moved).ref));
    if (!machine.part(moved).type->caution.empty()) out.push_back(machine.part(moved).type->caution);
  }
  if (query.kind == Kind::touch) out.push_back("A bad chip can burn the skin: near it first, then a short tap");
  if (query.kind == Kind::piggyback || query.kind == Kind::part_test)
    for (const PartId part : here)
      if (machine.part(part).type->mos) out.push_back(static_caution(machine.part(part).ref));
  for (std::string& one : out) one = sentences({one});
  return out;
}

std::string caution_for(const fault::Query& query, const board::Setup& now, const Machine& machine) { return sentences(cautions_for(query, now, machine)); }

bool may_propose(const fault::Query& query, const Machine& machine, bool qualified, bool stopped, const std::vector<NetId>& looks) {
  // A part that has been off tells nothing by its warmth.
  if (!query.setup.powered()) return query.kind != Kind::touch;
  const auto net = net_of(query.point, machine);
  const bool look = query.kind == Kind::volts_dc && net && std::find(looks.begin(), looks.end(), *net) != looks.end();
  if (stopped && !look) return false;
  if (earthed(query.kind) && std::any_of(machine.zones().begin(), machine.zones().end(), [&](const board::Zone& zone) { return zone.hazard == "mains" && in_zone(zone, query.point, machine); })) return false;
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
