#include "netlist/netlist.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace halfsplit::netlist {

const char* name_of(Side side) noexcept {
  static constexpr const char* kNames[] = {"unknown", "both", "top", "inner", "bottom"};
  return kNames[static_cast<std::size_t>(side)];
}

const char* name_of(Units units) noexcept {
  static constexpr const char* kNames[] = {"not known", "micrometres", "tenths of a mil"};
  return kNames[static_cast<std::size_t>(units)];
}

const char* name_of(PinType type) noexcept {
  static constexpr const char* kNames[] = {"unknown", "input",    "output",    "bidirectional",  "tri_state",    "passive",
                                           "free",    "power_in", "power_out", "open_collector", "open_emitter", "no_connect"};
  return kNames[static_cast<std::size_t>(type)];
}

namespace {

/// Letters only, small: "Power input" and "power_input" are one word.
std::string letters_of(std::string_view word) {
  std::string out;
  for (const char c : word) {
    if (c >= 'a' && c <= 'z') out += c;
    else if (c >= 'A' && c <= 'Z') out += static_cast<char>(c + 32);
  }
  return out;
}

constexpr std::array<std::pair<std::string_view, PinType>, 32> kTypeWords = {{
    {"input", PinType::input}, {"in", PinType::input}, {"i", PinType::input},
    {"output", PinType::output}, {"out", PinType::output}, {"o", PinType::output},
    {"bidirectional", PinType::bidirectional}, {"bidir", PinType::bidirectional}, {"io", PinType::bidirectional}, {"inout", PinType::bidirectional},
    {"tristate", PinType::tri_state}, {"hiz", PinType::tri_state}, {"threestate", PinType::tri_state},
    {"passive", PinType::passive}, {"pas", PinType::passive},
    {"free", PinType::free}, {"unspecified", PinType::unknown}, {"unknown", PinType::unknown},
    {"powerin", PinType::power_in}, {"powerinput", PinType::power_in}, {"power", PinType::power_in}, {"pwr", PinType::power_in},
    {"powerout", PinType::power_out}, {"poweroutput", PinType::power_out}, {"sup", PinType::power_out},
    {"opencollector", PinType::open_collector}, {"opendrain", PinType::open_collector}, {"oc", PinType::open_collector},
    {"openemitter", PinType::open_emitter}, {"opensource", PinType::open_emitter},
    {"noconnect", PinType::no_connect}, {"nc", PinType::no_connect},
}};

}  // namespace

std::optional<PinType> pin_type_named(std::string_view word) {
  const std::string letters = letters_of(word);
  if (letters.empty()) return word.empty() ? std::optional(PinType::unknown) : std::nullopt;
  for (const auto& [name, type] : kTypeWords)
    if (letters == name) return type;
  return std::nullopt;
}

const Part* Netlist::find_part(std::string_view ref) const {
  const auto found = std::find_if(parts.begin(), parts.end(), [&](const Part& candidate) { return candidate.ref == ref; });
  return found == parts.end() ? nullptr : &*found;
}

std::size_t Netlist::pin_count() const {
  std::size_t count = 0;
  for (const Part& each : parts) count += each.pins.size();
  return count;
}

std::size_t Netlist::pad_count() const {
  std::size_t count = 0;
  for (const Part& each : parts)
    for (const Pin& one : each.pins) count += one.pads.size();
  return count;
}

std::size_t Netlist::deviation_count(DeviationKind kind) const {
  for (const Deviation& deviation : deviations)
    if (deviation.kind == kind) return deviation.count;
  return 0;
}

CopperSummary copper_of(const Netlist& netlist, NetIndex net) {
  CopperSummary sum;
  for (const Track& track : netlist.tracks) {
    if (track.net != net) continue;
    ++sum.tracks;
    for (std::size_t i = 1; i < track.points.size(); ++i)
      sum.length_mm += std::hypot(track.points[i].x_mm - track.points[i - 1].x_mm, track.points[i].y_mm - track.points[i - 1].y_mm);
    sum.layers.push_back(track.layer);
  }
  std::sort(sum.layers.begin(), sum.layers.end());
  sum.layers.erase(std::unique(sum.layers.begin(), sum.layers.end()), sum.layers.end());
  return sum;
}

}  // namespace halfsplit::netlist
