#include "board/unit_types.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/text.h"

namespace halfsplit::board {

UnitTypes::UnitTypes(const UnitSpec& unit, const parts::Library& library, Errors& errors) : library_(library) {
  for (const halfsplit::Node& document : unit.types) {
    if (const Status status = adopt(document); !status.ok()) errors.add(status.error());
  }
}

Status UnitTypes::adopt(const halfsplit::Node& document) {
  const Result<const parts::PartType*> type = library_.adopt(document);
  if (!type.ok()) return type.error();
  own_[(*type)->id] = *type;
  return Done{};
}

namespace {

Error placed(Error error, const PartSpec& part) {
  error.code = ErrorCode::bad_input;
  error.message = part.ref + ": " + error.message;
  error.place = part.place;
  return error;
}

bool is_bare(std::string_view id) { return id.find('/') == std::string_view::npos; }

}  // namespace

Error UnitTypes::unknown(const PartSpec& part) const {
  std::vector<std::string> known;
  for (const auto& [id, type] : own_) known.push_back(id);
  known.insert(known.end(), library_.ids().begin(), library_.ids().end());
  const std::vector<std::string> named = library_.named(part.type);
  const auto near = named.empty() ? did_you_mean(part.type, known) : std::optional(named.front());
  return bad_input(fmt::format("{}: there is no part type {}", part.ref, in_quotes(part.type)), part.place, near ? fmt::format("did you mean {}?", in_quotes(*near)) : "");
}

Result<const parts::PartType*> UnitTypes::of(const PartSpec& part, const std::vector<std::string>& net_pins) const {
  if (part.type.empty()) return bad_input(part.ref + " has no type", part.place, "as in R7 = \"resistor 4.7k\"");
  if (const auto found = own_.find(part.type); found != own_.end()) {
    if (!found->second->numbered) return found->second;
    return bad_input(fmt::format("{}: type {} of this unit has no pins", part.ref, part.type), part.place, "list them in its file");
  }
  const Result<const parts::PartType*> type = library_.type(part.type);
  if (!type.ok()) return type.error().code == ErrorCode::not_found && is_bare(part.type) ? unknown(part) : placed(type.error(), part);
  if (part.pin_numbers.empty() && !(*type)->numbered) return *type;
  const std::vector<std::string>& pins = part.pin_numbers.empty() ? net_pins : part.pin_numbers;
  if (pins.empty())
    return bad_input(fmt::format("{}: how many pins has this {}?", part.ref, part.type), part.place, fmt::format("write {}/16, or pins = \"1..16\"", part.type));
  const Result<const parts::PartType*> made = library_.type_with_pins(part.type, pins);
  if (made.ok()) return *made;
  return placed(made.error(), part);
}

std::map<std::string, std::vector<std::string>, std::less<>> pins_in_nets(const UnitSpec& unit) {
  std::map<std::string, std::vector<std::string>, std::less<>> out;
  std::map<std::string, std::set<std::string>, std::less<>> seen;
  for (const NetSpec& net : unit.nets)
    for (const PinRef& pin : net.pins)
      if (seen[pin.part].insert(pin.pin).second) out[pin.part].push_back(pin.pin);
  return out;
}

}  // namespace halfsplit::board
