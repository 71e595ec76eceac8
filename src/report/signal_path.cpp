#include "report/signal_path.h"

#include <algorithm>

#include "base/text.h"

namespace halfsplit::report {
namespace {

using board::Machine;
using board::PinId;

std::string pin_words(PinId pin, const Machine& machine) {
  const auto& type = machine.pin_type(pin);
  const std::string shown = type.shown();
  return type.number + (shown.empty() || shown == type.number ? "" : " (" + shown + ")");
}

std::string net_of(PinId pin, const Machine& machine) {
  const board::NetId net = machine.pin(pin).net;
  return net.known() ? machine.net(net).name : std::string();
}

SignalPath along(const std::vector<PinId>& pins, const Machine& machine) {
  SignalPath out;
  std::vector<std::pair<PinId, PinId>> ends;  // first and last pin of each stop
  for (const PinId pin : pins) {
    const bool same = !ends.empty() && machine.pin(ends.back().second).part == machine.pin(pin).part;
    if (same) ends.back().second = pin;
    else ends.emplace_back(pin, pin);
  }
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const board::Part& part = machine.part(machine.pin(ends[i].first).part);
    PathStop stop{part.ref, part.type->title, {}, {}};
    if (i > 0) stop.in = pin_words(ends[i].first, machine);
    if (i + 1 < ends.size()) stop.out = pin_words(ends[i].second, machine);
    if (i > 0) out.nets.push_back(net_of(ends[i].first, machine));
    out.stops.push_back(std::move(stop));
  }
  return out;
}

}  // namespace

std::optional<SignalPath> signal_path(const Machine& machine, board::PartId culprit, board::FunctionId symptom) {
  std::vector<PinId> best;
  for (const board::Need& need : machine.function(symptom).needs) {
    if (!need.pin.known()) continue;
    const std::vector<PinId> way = machine.path(culprit, need.pin);
    if (!way.empty() && (best.empty() || way.size() < best.size())) best = way;
  }
  if (best.empty()) return std::nullopt;
  SignalPath out = along(best, machine);
  out.culprit = machine.part(culprit).ref;
  out.symptom = machine.function(symptom).title;
  return out;
}

std::string in_one_line(const SignalPath& path) {
  std::string out;
  for (std::size_t i = 0; i < path.stops.size(); ++i) out += (i == 0 ? "" : " -" + path.nets[i - 1] + "- ") + path.stops[i].part;
  return out + ": " + path.symptom;
}

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += "&quot;"; break;
      case '\'': out += "&#39;"; break;
      default: out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    }
  }
  return out;
}

}  // namespace halfsplit::report
