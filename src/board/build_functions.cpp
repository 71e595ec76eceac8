// Functions, questions and zones of a machine, and which functions anything on it feeds.
#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "board/amendment.h"
#include "board/assembly.h"
#include "board/live_nets.h"

namespace halfsplit::board {

void Assembly::add_function(const FunctionSpec& spec) {
  Function function;
  function.id = spec.id;
  function.title = spec.title.empty() ? spec.id : spec.title;
  function.kind = spec.kind.empty() ? "other" : spec.kind;
  const std::vector<std::string>& kinds = function_kinds();
  if (std::find(kinds.begin(), kinds.end(), function.kind) == kinds.end())
    fail(fmt::format("function {}: there is no kind {}", spec.id, in_quotes(spec.kind)), spec.place, "known: " + join(kinds, ", "));
  const auto same_id = [&](const Function& other) { return lower(other.id) == lower(spec.id); };
  if (std::any_of(data_->functions.begin(), data_->functions.end(), same_id)) fail(fmt::format("function {} is there twice", spec.id), spec.place);
  if (spec.needs.empty()) fail(fmt::format("function {} needs nothing", spec.id), spec.place, "needs = [\"U4.9\", \"net VIDEO\", \"part display\"]");
  for (std::size_t i = 0; i < spec.needs.size(); ++i) {
    const std::vector<Need> needs = needs_of(spec.needs[i], place_of(spec.needs_at, i, spec.place));
    function.needs.insert(function.needs.end(), needs.begin(), needs.end());
  }
  if (!spec.held.empty()) {
    const Result<PartId> held = find_part(*data_, spec.held);
    if (held.ok()) function.held = *held;
    else fail(held.error(), spec.place);
  }
  data_->functions.push_back(std::move(function));
}

std::vector<Need> Assembly::needs_of(std::string_view text, const Place& place) {
  constexpr std::string_view kContent = "content ", kNet = "net ", kPart = "part ";
  std::string_view rest = trim(text);
  const bool content = starts_with(rest, kContent);
  if (content) rest = trim(rest.substr(kContent.size()));
  const auto pin_need = [&](PinId pin) {
    Need need;
    need.pin = pin;
    need.content = content;
    return need;
  };
  if (starts_with(rest, kPart)) {
    const Result<PartId> found = find_part(*data_, rest.substr(kPart.size()));
    if (!found.ok()) { fail(found.error(), place); return {}; }
    if (content) { fail("content is asked of pins, not of parts", place, fmt::format("write {}", in_quotes(rest))); return {}; }
    Need need;
    need.part = *found;
    return {need};
  }
  if (starts_with(rest, kNet)) {
    const Result<NetId> found = find_net(*data_, rest.substr(kNet.size()));
    if (!found.ok()) { fail(found.error(), place); return {}; }
    const Net& net = data_->nets[found->index()];
    std::vector<Need> needs;
    for (const PinId pin : net.pins)
      if (parts::can_drive(data_->pin_type(pin).role) && part(data_->pins[pin.index()].part).fitted) needs.push_back(pin_need(pin));
    if (needs.empty() && !net.pins.empty()) needs.push_back(pin_need(net.pins.front()));
    if (needs.empty() && errors_.empty()) fail(fmt::format("net {} has no pins", in_quotes(net.name)), place);
    return needs;
  }
  const Result<PinId> pin = find_pin(*data_, rest);
  if (pin.ok()) return {pin_need(*pin)};
  const std::size_t dot = rest.find('.');
  const Result<PartId> owner = find_part(*data_, rest.substr(0, dot));
  if (!owner.ok() || !unreadable(*owner)) {
    Error error = pin.error();
    if (error.hint.empty()) error.hint = "a need is a pin (U4.9), \"net NAME\" or \"part NAME\"";
    fail(std::move(error), place);
  }
  return {};
}

void Assembly::add_question(const QuestionSpec& spec) {
  if (spec.answers.empty()) return fail(fmt::format("question {} has no answers", spec.id), spec.place);
  for (const Question::Answer& answer : spec.answers)
    for (const std::string& line : answer.amendments)
      if (const Result<Amendment> parsed = parse_amendment(line, spec.place); !parsed.ok()) errors_.add(parsed.error());
  data_->questions.push_back({spec.id, spec.text, spec.answers});
}

void Assembly::add_zone(const ZoneSpec& spec) {
  Zone zone{spec.id, spec.title.empty() ? spec.id : spec.title, spec.hazard, spec.caution, spec.open_when, {}};
  for (const std::string& ref : spec.parts) {
    const Result<PartId> found = find_part(*data_, ref);
    if (found.ok()) zone.parts.push_back(*found);
    else fail(found.error(), spec.place);
  }
  data_->zones.push_back(std::move(zone));
}

void Assembly::find_feeds() {
  std::vector<bool> plugged(data_->parts.size(), false);
  for (const auto& [connector, contacts] : data_->plugs) plugged[connector.index()] = true;
  const std::vector<bool> live = live_nets(data_->parts, data_->pins, data_->nets, plugged);
  for (Function& function : data_->functions) {
    bool pins = false;
    for (const Need& need : function.needs) {
      if (!need.pin.known()) continue;
      pins = true;
      const NetId net = data_->pins[need.pin.index()].net;
      const bool own = parts::can_drive(data_->pin_type(need.pin).role);
      function.feeds = function.feeds || own || (net.known() && live[net.index()]);
    }
    if (!pins) function.feeds = !function.needs.empty();
  }
}

}  // namespace halfsplit::board
