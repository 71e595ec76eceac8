#include "parts/part_type.h"

#include <charconv>

namespace halfsplit::parts {

const char* name_of(PinRole role) noexcept {
  switch (role) {
    case PinRole::input: return "in";
    case PinRole::clock: return "clock";
    case PinRole::output: return "out";
    case PinRole::three_state: return "three-state";
    case PinRole::open_collector: return "open-collector";
    case PinRole::open_emitter: return "open-emitter";
    case PinRole::bidirectional: return "io";
    case PinRole::passive: return "passive";
    case PinRole::supply: return "supply";
    case PinRole::ground: return "ground";
    case PinRole::not_connected: return "nc";
    case PinRole::analog_in: return "analog-in";
    case PinRole::analog_out: break;
  }
  return "analog-out";
}

bool can_drive(PinRole role) noexcept {
  switch (role) {
    case PinRole::output:
    case PinRole::three_state:
    case PinRole::open_collector:
    case PinRole::open_emitter:
    case PinRole::bidirectional:
    case PinRole::analog_out: return true;
    default: return false;
  }
}

bool listens(PinRole role) noexcept {
  return role == PinRole::input || role == PinRole::clock || role == PinRole::bidirectional || role == PinRole::analog_in;
}

const char* name_of(Template kind) noexcept {
  switch (kind) {
    case Template::gate: return "gate";
    case Template::reg: return "register";
    case Template::latch: return "latch";
    case Template::counter: return "counter";
    case Template::shift: return "shift";
    case Template::one_shot: return "one-shot";
    case Template::timer: return "timer";
    case Template::oscillator: return "oscillator";
    case Template::memory: return "memory";
    case Template::processor: return "processor";
    case Template::master: return "master";
    case Template::peripheral: return "peripheral";
    case Template::box: return "box";
    case Template::regulator: return "regulator";
    case Template::contact: return "contact";
    case Template::resistor: return "resistor";
    case Template::capacitor: return "capacitor";
    case Template::inductor: return "inductor";
    case Template::diode: return "diode";
    case Template::transistor: return "transistor";
    case Template::crystal: break;
  }
  return "crystal";
}

bool is_element(Template kind) noexcept {
  switch (kind) {
    case Template::contact:
    case Template::resistor:
    case Template::capacitor:
    case Template::inductor:
    case Template::diode:
    case Template::crystal: return true;
    default: return false;
  }
}

const std::vector<std::uint16_t>& Block::port(std::string_view name) const {
  static const std::vector<std::uint16_t> none;
  for (const auto& [key, pins] : ports)
    if (key == name) return pins;
  return none;
}

const std::vector<Expression>& Block::term(std::string_view name) const {
  static const std::vector<Expression> none;
  for (const auto& [key, expressions] : terms)
    if (key == name) return expressions;
  return none;
}

std::optional<std::string_view> Block::word(std::string_view name) const {
  for (const auto& [key, text] : words)
    if (key == name) return std::string_view(text);
  return std::nullopt;
}

std::optional<double> Block::number(std::string_view name) const {
  const auto text = word(name);
  if (!text) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), value);
  if (error != std::errc() || end != text->data() + text->size()) return std::nullopt;
  return value;
}

std::optional<std::uint16_t> PartType::pin_by_number(std::string_view number) const {
  for (std::size_t i = 0; i < pins.size(); ++i)
    if (pins[i].number == number) return static_cast<std::uint16_t>(i);
  return std::nullopt;
}

std::optional<std::uint16_t> PartType::pin_by_name(std::string_view name) const {
  if (name.size() > 1 && name[0] == '/') name.remove_prefix(1);
  for (std::size_t i = 0; i < pins.size(); ++i)
    if (pins[i].name == name) return static_cast<std::uint16_t>(i);
  return std::nullopt;
}

}  // namespace halfsplit::parts
