#include "app/tracing.h"

#include <fmt/core.h>

#include <algorithm>
#include <numeric>
#include <set>

#include "app/verdicts.h"
#include "base/text.h"
#include "board/spec.h"
#include "netlist/sweeps.h"
#include "parts/stand_in.h"

namespace halfsplit::app {
namespace {

using netlist::Bus;
using netlist::Contact;
using netlist::Lane;

constexpr double kWorthTracing = 0.05;  ///< share of a stand-in among the suspects
constexpr double kWorthTelling = 0.5;  ///< chance of a bus nobody measured, to be told of
constexpr char kData[] = "data";
constexpr std::size_t kChipsNamed = 3;

Result<std::vector<Bus>> buses_in(const std::string& folder, const parts::Library& library) {
  const auto spec = board::load_spec(folder);
  if (!spec) return spec.error();
  return netlist::buses_of(*spec, library);
}

Result<std::vector<Bus>> weighed(Sitting& sitting) {
  auto buses = buses_in(sitting.folder(), sitting.model().library());
  if (buses) netlist::weigh(*buses, contacts_of(sitting.history(), sitting.machine()));
  return buses;
}

/// Nets as sets that grow together; power keeps apart from power.
class Copper {
 public:
  explicit Copper(const board::Machine& machine) : machine_(machine), root_(machine.nets().size()), power_(machine.nets().size()) {
    std::iota(root_.begin(), root_.end(), 0u);
    for (std::size_t i = 0; i < power_.size(); ++i) power_[i] = machine.nets()[i].kind != board::NetKind::signal;
  }
  bool may_join(const std::string& a, const std::string& b) {
    const auto first = net_of(a), second = net_of(b);
    if (!first || !second) return false;
    const std::size_t x = root(first->index()), y = root(second->index());
    if (x == y) return true;
    if (power_[x] && power_[y]) return false;
    root_[y] = x;
    power_[x] = power_[x] || power_[y];
    return true;
  }

 private:
  std::optional<board::NetId> net_of(const std::string& pin) const {
    const auto id = machine_.find_pin(pin);
    if (!id || !machine_.pin(*id).net.known()) return std::nullopt;
    return machine_.pin(*id).net;
  }
  std::size_t root(std::size_t net) const {
    while (root_[net] != net) net = root_[net];
    return net;
  }
  const board::Machine& machine_;
  std::vector<std::size_t> root_;
  std::vector<bool> power_;
};

std::string title_of(const Bus& bus) { return fmt::format("{}, {} to {}", bus.title, bus.a, bus.b); }

bool about(const Bus& bus, const std::vector<Contact>& contacts) {
  return std::any_of(bus.lanes.begin(), bus.lanes.end(), [&](const Lane& lane) {
    return std::any_of(contacts.begin(), contacts.end(), [&](const Contact& one) { return (one.a == lane.a && one.b == lane.b) || (one.a == lane.b && one.b == lane.a); });
  });
}

std::set<board::PartId> swept_from(board::PinId pin, const observe::History& history, const board::Machine& machine) {
  std::set<board::PartId> out;
  for (const observe::Event& event : history.events()) {
    const auto* seen = std::get_if<observe::Observation>(&event);
    if (seen && seen->kind == observe::Kind::continuity && seen->point.pin == pin && seen->point.other.known()) out.insert(machine.pin(seen->point.other).part);
  }
  return out;
}

std::vector<std::string> chips_to_sweep(board::PinId pin, const Sitting& sitting) {
  std::vector<std::string> out;
  for (const board::PartId id : netlist::sweep_order(sitting.machine(), pin, swept_from(pin, sitting.history(), sitting.machine()))) out.push_back(sitting.machine().part(id).ref);
  return out;
}

}  // namespace

bool is_sketch(const board::Machine& machine) {
  return std::any_of(machine.parts().begin(), machine.parts().end(), [](const board::Part& part) { return parts::stands_in(*part.type); });
}

std::vector<Contact> contacts_of(const observe::History& history, const board::Machine& machine) {
  std::vector<Contact> out;
  for (const observe::Event& event : history.events()) {
    const auto* seen = std::get_if<observe::Observation>(&event);
    if (!seen || seen->kind != observe::Kind::continuity || !seen->value.word || !seen->point.pin.known() || !seen->point.other.known()) continue;
    out.push_back({machine.name_of(seen->point.pin), machine.name_of(seen->point.other), *seen->value.word == observe::Word::beep});
  }
  return out;
}

Result<std::vector<std::string>> traced_lines(const std::string& folder, const observe::History& history, const board::Machine& machine) {
  const auto contacts = contacts_of(history, machine);
  if (contacts.empty()) return std::vector<std::string>();
  auto buses = buses_in(folder, machine.library());
  if (!buses) return buses.error();
  netlist::weigh(*buses, contacts);
  Copper copper(machine);
  std::vector<std::string> out;
  for (const std::string& line : netlist::found_joins(*buses, contacts)) {
    const auto words = halfsplit::words(line);  // "found join U1.14 U2.11 likely 0.97"
    if (words[1] == "join" && !copper.may_join(std::string(words[2]), std::string(words[3]))) continue;
    out.push_back(line);
  }
  return out;
}

Result<report::Tracing> tracing_of(Sitting& sitting) {
  if (!is_sketch(sitting.machine())) return usage(sitting.machine().title() + " has a drawing: nothing to trace", "a machine without one begins with the numbers on its chips: halfsplit sketch z80 2x2764 8x4164");
  auto buses = weighed(sitting);
  if (!buses) return buses.error();
  report::Tracing out;
  out.slip = slip_of(sitting, false);
  out.machine = sitting.machine().title();
  const bool over_buffer = std::any_of(buses->begin(), buses->end(), [](const Bus& bus) { return bus.title == kData && bus.prior >= kWorthTelling && bus.dropped(); });
  std::set<std::pair<std::string, std::string>> told;
  for (const Bus& bus : *buses) {
    const bool guess = bus.untouched() && bus.chance < kWorthTelling;  // either side of a buffer, in either order: one line for all of them
    if (guess ? !over_buffer || !told.insert({bus.a, bus.b}).second : bus.prior < kWorthTelling && bus.chance < netlist::kHopeless) continue;
    const Lane* lane = bus.next();
    out.buses.push_back({bus.title, bus.a, bus.b, bus.lanes.size(), bus.chance, bus.settled(), !lane ? std::string() : guess ? lane->a + " sweep " + bus.b : lane->a + "-" + lane->b});
  }
  std::stable_sort(out.buses.begin(), out.buses.end(), [](const auto& a, const auto& b) { return a.chance > b.chance; });
  for (const board::Part& part : sitting.machine().parts()) out.untraced += parts::stands_in(*part.type);
  return out;
}

Result<std::vector<std::string>> tracing_news(Sitting& sitting, const std::vector<observe::Event>& events) {
  std::vector<std::string> out;
  observe::History line;
  for (const observe::Event& event : events) line.add(event);
  const auto contacts = contacts_of(line, sitting.machine());
  if (contacts.empty() || !is_sketch(sitting.machine())) return out;
  const auto buses = weighed(sitting);
  if (!buses) return buses.error();
  for (const Contact& contact : contacts)
    if (contact.beeps) out.push_back(fmt::format("{} and {} are on one net.", contact.a, contact.b));
  for (const Bus& bus : *buses) {
    if (!about(bus, contacts)) continue;
    if (bus.settled()) out.push_back(fmt::format("Bus {}: settled, {} lines.", title_of(bus), bus.lanes.size()));
    else if (bus.laid && bus.refuted()) out.push_back(fmt::format("Bus {}: not lane by lane; what was laid in is taken back.", title_of(bus)));
    else if (bus.dropped() && bus.prior < kWorthTelling) continue;
    else if (const Lane* lane = bus.next()) out.push_back(fmt::format("Bus {}: {} so far; {}-{} would settle it.", title_of(bus), bus.chance >= netlist::kClaimed ? "taken as likely" : bus.dropped() ? "doubtful" : "open", lane->a, lane->b));
  }
  return out;
}

std::string trace_advice(Sitting& sitting, const fault::Ranking& ranking) {
  const board::Machine& machine = sitting.machine();
  if (ranking.suspects.empty()) return {};
  const fault::Suspect& first = ranking.suspects.front();
  if (first.p < kWorthTracing) return {};
  for (const fault::FaultId id : sitting.model().catalogue().faults_at(first.site)) {
    const board::PartId part = sitting.model().catalogue().fault(id).site.part;
    if (!part.known() || !parts::stands_in(*machine.part(part).type)) continue;
    const auto pin = machine.find_pin(machine.part(part).value);
    if (!pin) return {};
    const auto chips = chips_to_sweep(*pin, sitting);
    if (chips.empty()) return {};
    const std::vector<std::string> others(chips.begin() + 1, chips.begin() + static_cast<std::ptrdiff_t>(std::min(chips.size(), kChipsNamed)));
    return fmt::format("To find what drives {0}: power off, one tip there, draw the other along {1}{2}; then: halfsplit read {0} sweep {1} beep at PIN (or: no beep)", machine.part(part).value, chips.front(),
                       others.empty() ? "" : ", then " + join(others, ", "));
  }
  return {};
}

}  // namespace halfsplit::app
