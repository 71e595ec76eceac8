#include "board/pin_lookup.h"

#include <fmt/core.h>

#include "base/text.h"
#include "board/machine_data.h"

namespace halfsplit::board {

namespace {

bool same_letters(std::string_view a, std::string_view b) { return lower(a) == lower(b); }

std::vector<std::uint16_t> pins_where(const parts::PartType& type, auto matches) {
  std::vector<std::uint16_t> found;
  for (std::size_t i = 0; i < type.pins.size(); ++i)
    if (matches(type.pins[i])) found.push_back(static_cast<std::uint16_t>(i));
  return found;
}

/// The pins meant, by the strictest reading that fits any.
std::vector<std::uint16_t> candidates(const parts::PartType& type, std::string_view text) {
  const std::string bare = barred(text);
  const std::string_view name = starts_with(bare, "/") ? std::string_view(bare).substr(1) : std::string_view(bare);
  const std::vector<std::uint16_t> by_strictness[] = {
      pins_where(type, [&](const parts::Pin& pin) { return pin.number == text; }),
      pins_where(type, [&](const parts::Pin& pin) { return pin.shown() == text; }),
      pins_where(type, [&](const parts::Pin& pin) { return pin.name == text || pin.name == name; }),
      pins_where(type, [&](const parts::Pin& pin) { return same_letters(pin.number, text); }),
      pins_where(type, [&](const parts::Pin& pin) { return same_letters(pin.name, text) || same_letters(pin.name, name); }),
  };
  for (const auto& found : by_strictness)
    if (!found.empty()) return found;
  return {};
}

std::string pins_hint(const parts::PartType& type, std::string_view ref, std::string_view text) {
  std::vector<std::string> known;
  for (const parts::Pin& pin : type.pins) known.push_back(pin.number);
  for (const parts::Pin& pin : type.pins) known.push_back(pin.name);
  const bool digits = text.find_first_not_of("0123456789") == std::string_view::npos;
  if (const auto near = digits ? std::nullopt : did_you_mean(text, known))
    return fmt::format("did you mean {}.{}?", ref, *near);
  if (type.pins.empty()) return fmt::format("{} has no pins", type.id);
  return fmt::format("{} is a {} with {} pins, {} to {}", ref, type.id, type.pins.size(), type.pins.front().number, type.pins.back().number);
}

}  // namespace

Result<std::uint16_t> find_type_pin(const parts::PartType& type, std::string_view text, std::string_view ref) {
  const std::vector<std::uint16_t> found = candidates(type, text);
  if (found.size() == 1) return found.front();
  if (found.empty()) return not_found(fmt::format("{} has no pin {}", ref, in_quotes(text)), pins_hint(type, ref, text));
  std::vector<std::string> numbers;
  for (const std::uint16_t pin : found) numbers.push_back(fmt::format("{}.{}", ref, type.pins[pin].number));
  return usage(fmt::format("{} has {} pins called {}", ref, found.size(), in_quotes(text)), "say which: " + join(numbers, ", "));
}

std::vector<std::pair<std::string_view, std::string_view>> pin_splits(std::string_view text) {
  std::vector<std::pair<std::string_view, std::string_view>> out;
  text = trim(text);
  const auto add = [&](std::size_t at, std::size_t width) {
    const std::string_view part = trim(text.substr(0, at)), pin = trim(text.substr(at + width));
    if (!part.empty() && !pin.empty()) out.emplace_back(part, pin);
  };
  constexpr std::string_view kPinWord = " pin ";
  const std::size_t word = lower(text).find(kPinWord);
  if (word != std::string::npos) add(word, kPinWord.size());
  for (const char mark : {'.', '-', ' '})
    for (std::size_t at = text.find(mark); at != std::string_view::npos; at = text.find(mark, at + 1)) add(at, 1);
  return out;
}

}  // namespace halfsplit::board
