// Repairs: "U14 replaced", "U5.8 resoldered", "cleaned J3".
#include <fmt/core.h>

#include <array>

#include "base/text.h"
#include "observe/parse.h"
#include "observe/point_finder.h"
#include "observe/typed.h"

namespace halfsplit::observe {
namespace {

using Act = Repair::Act;
struct ActWord { std::string_view word; Act act; };
constexpr std::array kActs = {
    ActWord{"replaced", Act::replaced},     ActWord{"replace", Act::replaced},   ActWord{"changed", Act::replaced},  ActWord{"swapped", Act::replaced},  ActWord{"renewed", Act::replaced},
    ActWord{"new", Act::replaced},          ActWord{"resoldered", Act::resoldered}, ActWord{"reflowed", Act::resoldered}, ActWord{"soldered", Act::resoldered}, ActWord{"resolder", Act::resoldered},
    ActWord{"reseated", Act::reseated},     ActWord{"reseat", Act::reseated},    ActWord{"cleaned", Act::cleaned},   ActWord{"clean", Act::cleaned},     ActWord{"rewired", Act::rewired},
    ActWord{"wired", Act::rewired},         ActWord{"bodged", Act::rewired},     ActWord{"patched", Act::rewired},   ActWord{"adjusted", Act::adjusted}, ActWord{"adjust", Act::adjusted},
    ActWord{"set", Act::adjusted},          ActWord{"removed", Act::removed},    ActWord{"remove", Act::removed}};
constexpr std::string_view kHow = "type U14 replaced, U5.8 resoldered, U3 reseated, J3 cleaned, U5.8 rewired, VR1 adjusted, C7 removed";

const ActWord* act_of(const Token& token) {
  for (const ActWord& entry : kActs)
    if (token.is(entry.word)) return &entry;
  return nullptr;
}

/// The place without the act and what may follow it ("with a spare", ", new socket").
std::string place_text(const Typed& typed, std::size_t act) {
  if (act > 0) return typed.slice(0, act);
  std::size_t end = 1;
  while (end < typed.size() && !typed.is(end, ",") && !typed.is(end, "with") && !typed.is(end, "by")) ++end;
  return typed.slice(1, end);
}

}  // namespace

Result<Repair> parse_repair(std::string_view line, const board::Machine& machine) {
  const auto typed = Typed::read(line);
  if (!typed) return typed.error();
  std::size_t at = 0;
  while (at < typed->size() && act_of(*typed->at(at)) == nullptr) ++at;
  if (at == typed->size()) return usage(fmt::format("'{}' doesn't say what was done", typed->text()), std::string(kHow));
  PointFinder finder(machine);
  const std::string text = place_text(*typed, at);
  if (text.empty()) return usage(fmt::format("'{}' of what?", typed->at(at)->text), std::string(kHow));
  const auto point = finder.one(text);
  if (!point) return point.error();
  Repair out;
  out.act = act_of(*typed->at(at))->act;
  out.typed = typed->text();
  if (point->at == Point::At::part) out.part = point->part;
  else if (point->at == Point::At::leg) {
    out.pin = point->pin;
    out.part = machine.pin(point->pin).part;
  } else
    return usage(fmt::format("{} {} understood, but a repair is at a part or a pin", describe(*point, machine), name_of(out.act)), std::string(kHow));
  if (out.pin.known() && (out.act == Act::replaced || out.act == Act::reseated))
    return usage(fmt::format("one pin can't be {}", name_of(out.act)), fmt::format("type {} {}", machine.part(out.part).ref, name_of(out.act)));
  return out;
}

}  // namespace halfsplit::observe
