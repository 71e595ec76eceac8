// Pins found to be on one net, and stand-ins on a machine whose connections are traced bit by bit.
#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <set>

#include "base/text.h"
#include "board/spec_editor.h"
#include "parts/stand_in.h"

namespace halfsplit::board {
namespace {

constexpr double kLeastDoubt = 1e-6, kMostDoubt = 0.5;

Result<double> doubt_in(const std::string& word) {
  double likely = 0;
  const auto [end, failed] = std::from_chars(word.data(), word.data() + word.size(), likely);
  if (failed != std::errc() || end != word.data() + word.size() || likely < 1 - kMostDoubt || likely > 1)
    return usage(in_quotes(word) + " is no chance that pins are joined", "0.5 to 1, as in: join U1.14 U2.11 likely 0.97");
  return std::max(1 - likely, kLeastDoubt);
}

struct Joined { std::vector<std::string> pins; double doubt = 0; };
Result<Joined> joined_in(const std::vector<std::string>& words) {
  Joined out{words, 0};
  if (words.size() > 2 && lower(words[words.size() - 2]) == "likely") {
    const auto told = doubt_in(words.back());
    if (!told.ok()) return told.error();
    out.doubt = *told;
    out.pins.resize(words.size() - 2);
  }
  if (out.pins.size() < 2) return usage("one pin alone can't be joined", "as in: join U1.14 U2.11");
  return out;
}

std::set<std::string> stand_ins_in(const UnitSpec& unit) {
  std::set<std::string> out;
  for (const PartSpec& part : unit.parts)
    if (part.type == parts::kStandIn || part.type == parts::kStandInHigh) out.insert(part.ref);
  return out;
}

}  // namespace

/// "U1.14 U2.11 U3.11 likely 0.97"
Status SpecEditor::join_pins(const std::vector<std::string>& words) {
  const Result<Joined> told = joined_in(words);
  if (!told.ok()) return told.error();
  const Result<PinAt> first = find_pin(told->pins[0]);
  if (!first.ok()) return first.error();
  Result<NetAt> home = net_at(told->pins[0], first->part.unit);
  if (!home.ok()) return home.error();
  for (std::size_t i = 1; i < told->pins.size(); ++i) {
    const Result<PinAt> pin = find_pin(told->pins[i]);
    if (!pin.ok()) return pin.error();
    const Result<NetAt> there = net_at(told->pins[i], pin->part.unit);
    if (!there.ok()) return there.error();
    home = merged(*net_of(*first), *there);
    if (!home.ok()) return home.error();
  }
  return Done{};
}

std::map<std::string, double> likely_doubts(const std::vector<std::string>& lines) {
  std::map<std::string, double> out;
  for (const std::string& line : lines) {
    const auto amendment = parse_amendment(line);
    if (!amendment.ok() || amendment->kind != Amendment::Kind::join) continue;
    const auto told = joined_in(amendment->words);
    if (!told.ok()) continue;
    for (std::size_t i = 1; i < told->pins.size(); ++i) out[told->pins[i]] = told->doubt;
  }
  return out;
}

bool SpecEditor::is_power(const NetAt& at) const {
  const UnitSpec& unit = spec_.units[at.unit];
  const std::string& name = unit.nets[at.index].name;
  return std::find(unit.grounds.begin(), unit.grounds.end(), name) != unit.grounds.end() ||
         std::any_of(unit.supplies.begin(), unit.supplies.end(), [&](const SupplySpec& supply) { return supply.net == name; });
}

bool SpecEditor::is_named_elsewhere(const NetAt& at) const {
  const UnitSpec& unit = spec_.units[at.unit];
  const std::string& name = unit.nets[at.index].name;
  if (std::any_of(unit.sources.begin(), unit.sources.end(), [&](const auto& source) { return source.first == name; })) return true;
  for (const FunctionSpec& function : spec_.functions)
    for (const std::string& need : function.needs)
      if (need.find(name) != std::string::npos) return true;
  return false;
}

/// All pins of both on one of them: a rail's or ground's name stays, else the first's. The other net goes where nothing else names it.
Result<SpecEditor::NetAt> SpecEditor::merged(const NetAt& first, const NetAt& second) {
  if (first.unit == second.unit && first.index == second.index) return first;
  if (first.unit != second.unit) return usage(fmt::format("{} and {} are in two units", net(first).name, net(second).name), "units are joined by their plugs");
  if (is_power(first) && is_power(second)) return usage(fmt::format("{} and {} are both rails or ground", net(first).name, net(second).name), "a short is no connection of the drawing");
  NetAt stays = is_power(second) ? second : first, goes = is_power(second) ? first : second;
  std::vector<PinRef>& pins = net(stays).pins;
  pins.insert(pins.end(), net(goes).pins.begin(), net(goes).pins.end());
  net(goes).pins.clear();
  if (is_named_elsewhere(goes)) return stays;
  std::vector<NetSpec>& nets = spec_.units[goes.unit].nets;
  nets.erase(nets.begin() + static_cast<std::ptrdiff_t>(goes.index));
  if (stays.index > goes.index) --stays.index;
  return stays;
}

void SpecEditor::settle_stand_ins() {
  for (std::size_t u = 0; u < spec_.units.size(); ++u) {
    UnitSpec& unit = spec_.units[u];
    const std::set<std::string> known = stand_ins_in(unit);
    if (known.empty()) continue;
    std::set<std::string> gone;
    for (std::size_t i = 0; i < unit.nets.size(); ++i) {
      bool driven = is_power({u, i}), listens = false;
      std::vector<std::string> here;
      std::string first;
      for (const PinRef& pin : unit.nets[i].pins) {
        if (known.count(pin.part) != 0) {
          here.push_back(pin.part);
          continue;
        }
        const Result<PartAt> at = find_part(pin.part);
        const Result<const parts::PartType*> type = at.ok() ? type_of(*at) : Result<const parts::PartType*>(at.error());
        const auto index = type.ok() ? (*type)->pin_by_number(pin.pin) : std::nullopt;
        if (!index) continue;
        const parts::PinRole role = (*type)->pins[*index].role;
        driven = driven || parts::can_drive(role);
        listens = listens || parts::listens(role);
        if (first.empty()) first = pin.part + "-" + pin.pin;
      }
      const bool wanted = listens && !driven;
      for (std::size_t k = 0; k < here.size(); ++k)
        if (!wanted && (driven || first.empty())) gone.insert(here[k]);
        else if (k > 0) gone.insert(here[k]);
      if (!wanted || !here.empty()) continue;
      PartSpec made;
      made.ref = free_ref(u, "?" + first + "-");
      made.type = parts::kStandIn;
      made.value = first;
      made.value[first.rfind('-')] = '.';
      unit.nets[i].pins.push_back({made.ref, "1", {}});
      unit.parts.push_back(std::move(made));
    }
    const auto left = [&](const std::string& ref) { return gone.count(ref) != 0; };
    for (NetSpec& net : unit.nets) net.pins.erase(std::remove_if(net.pins.begin(), net.pins.end(), [&](const PinRef& pin) { return left(pin.part); }), net.pins.end());
    unit.parts.erase(std::remove_if(unit.parts.begin(), unit.parts.end(), [&](const PartSpec& part) { return left(part.ref); }), unit.parts.end());
  }
}

}  // namespace halfsplit::board
