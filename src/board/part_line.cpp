#include "board/part_line.h"

#include <algorithm>
#include <charconv>

#include "base/text.h"

namespace halfsplit::board {

namespace {

constexpr std::size_t kLongestFamily = 5;
constexpr std::size_t kMostPinsInRange = 1000;

bool is_capital(char c) { return c >= 'A' && c <= 'Z'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_family(std::string_view word) {
  return !word.empty() && word.size() <= kLongestFamily && std::all_of(word.begin(), word.end(), is_capital);
}

/// "A12" -> head "A", number 12; nothing when it doesn't end in plain digits (no leading zero).
struct NumberedPin { std::string_view head; std::uint32_t number = 0; };
std::optional<NumberedPin> numbered(std::string_view pin) {
  std::size_t digits = 0;
  while (digits < pin.size() && is_digit(pin[pin.size() - 1 - digits])) ++digits;
  if (digits == 0 || digits > 6) return std::nullopt;
  const std::string_view text = pin.substr(pin.size() - digits);
  if (text.size() > 1 && text.front() == '0') return std::nullopt;
  NumberedPin out{pin.substr(0, pin.size() - digits)};
  std::from_chars(text.data(), text.data() + text.size(), out.number);
  return out;
}

/// Pins of "A1..A22" or "1..16"; empty when the text is no such range.
std::vector<std::string> range(std::string_view text) {
  const std::size_t dots = text.find("..");
  if (dots == std::string_view::npos) return {};
  const auto from = numbered(text.substr(0, dots)), to = numbered(text.substr(dots + 2));
  if (!from || !to || from->head != to->head || to->number < from->number || to->number - from->number >= kMostPinsInRange) return {};
  std::vector<std::string> pins;
  for (std::uint32_t i = from->number; i <= to->number; ++i) pins.push_back(std::string(from->head) + std::to_string(i));
  return pins;
}

}  // namespace

ShortPart parse_short_part(std::string_view text) {
  const std::vector<Piece> pieces = pieces_of(text);
  ShortPart out;
  if (pieces.empty()) return out;
  out.type = std::string(pieces[0].text);
  std::size_t next = 1;
  if (pieces.size() > next && is_family(pieces[next].text)) out.family = std::string(pieces[next++].text);
  if (pieces.size() > next) out.value = std::string(trim(text.substr(pieces[next].offset)));
  return out;
}

std::optional<std::string> short_part_text(const ShortPart& part) {
  std::string text = part.type;
  for (const std::string& word : {part.family, part.value})
    if (!word.empty()) text += " " + word;
  const ShortPart back = parse_short_part(text);
  if (part.type.empty() || back.type != part.type || back.family != part.family || back.value != part.value) return std::nullopt;
  return text;
}

std::vector<Piece> pieces_of(std::string_view text) {
  std::vector<Piece> out;
  for (const std::string_view word : words(text)) out.push_back({word, static_cast<std::size_t>(word.data() - text.data())});
  return out;
}

std::vector<std::string> parse_pin_list(std::string_view text) {
  std::vector<std::string> out;
  for (const std::string_view word : words(text)) {
    const std::vector<std::string> run = range(word);
    if (run.empty()) out.emplace_back(word);
    else out.insert(out.end(), run.begin(), run.end());
  }
  return out;
}

std::string pin_list_text(const std::vector<std::string>& pins) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < pins.size();) {
    const auto first = numbered(pins[i]);
    std::size_t end = i + 1;
    for (; first && end < pins.size() && end - i < kMostPinsInRange; ++end) {
      const auto next = numbered(pins[end]);
      if (!next || next->head != first->head || next->number != first->number + (end - i)) break;
    }
    if (end - i < 3) out.push_back(pins[i++]);
    else { out.push_back(pins[i] + ".." + pins[end - 1]); i = end; }
  }
  return join(out, " ");
}

bool is_reference(std::string_view ref) {
  constexpr std::string_view kReserved = "./~,@=";
  const auto fits = [&](char c) { return static_cast<unsigned char>(c) > ' ' && c != 0x7f && kReserved.find(c) == std::string_view::npos; };
  return !ref.empty() && std::all_of(ref.begin(), ref.end(), fits);
}

}  // namespace halfsplit::board
