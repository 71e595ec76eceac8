#include "parts/package.h"

#include <algorithm>
#include <charconv>

#include "base/text.h"

namespace halfsplit::parts {

namespace {

struct Word { std::string_view word; Package::Kind kind; };
// Longer words first where one begins another.
constexpr Word kWords[] = {
    {"pdip", Package::Kind::dual_row},       {"cerdip", Package::Kind::dual_row},    {"cdip", Package::Kind::dual_row},       {"sdip", Package::Kind::dual_row},
    {"dip", Package::Kind::dual_row},        {"dil", Package::Kind::dual_row},       {"soic", Package::Kind::small_outline},  {"tssop", Package::Kind::small_outline},
    {"ssop", Package::Kind::small_outline},  {"sop", Package::Kind::small_outline},  {"soj", Package::Kind::small_outline},   {"so", Package::Kind::small_outline},
    {"plcc", Package::Kind::chip_carrier},   {"lcc", Package::Kind::chip_carrier},   {"tqfp", Package::Kind::quad_flat},      {"lqfp", Package::Kind::quad_flat},
    {"pqfp", Package::Kind::quad_flat},      {"qfp", Package::Kind::quad_flat},      {"sip", Package::Kind::single_row},      {"sil", Package::Kind::single_row},
    {"to", Package::Kind::can},
};

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return c >= 'a' && c <= 'z'; }

std::size_t number_at(std::string_view text, std::size_t at) {
  std::size_t value = 0;
  std::from_chars(text.data() + at, text.data() + std::min(text.size(), at + 4), value);
  return value;
}

/// Number behind a package word: "-28", "_Socket-32", "40".
std::size_t number_behind(std::string_view text, std::size_t at) {
  if (text.substr(at, 7) == "_socket") at += 7;
  if (at < text.size() && (text[at] == '-' || text[at] == '_' || text[at] == ' ')) ++at;
  return at < text.size() && digit(text[at]) ? number_at(text, at) : 0;
}

bool same_outline(const Package& a, const Package& b) {
  if (a.kind != b.kind) return false;
  if (a.kind != Package::Kind::can) return a.number == b.number;
  const auto tab = [](std::size_t n) { return n == 220 || n == 252 || n == 263; };
  return a.number == b.number || (tab(a.number) && tab(b.number));
}

/// Outlines that number their pins alike: a dual row and its small version.
bool alike(Package::Kind a, Package::Kind b) {
  const auto rows = [](Package::Kind kind) { return kind == Package::Kind::dual_row || kind == Package::Kind::small_outline; };
  return a == b || (rows(a) && rows(b));
}

bool fits_outline(const PartType& type, const Package& place) {
  std::vector<Package> own;
  for (const std::string& name : type.packages)
    if (const auto package = package_of(name)) own.push_back(*package);
  if (std::any_of(own.begin(), own.end(), [&](const Package& each) { return same_outline(each, place); })) return true;
  if (place.kind == Package::Kind::can) return own.empty();
  const bool told_alike = std::any_of(own.begin(), own.end(), [&](const Package& each) { return alike(each.kind, place.kind) && each.number == place.number; });
  return told_alike || (own.empty() && type.pins.size() == place.number);
}

/// Without an outline: most pins must be there, or more than half of them with every supply pin.
bool enough_pins(const PartType& type, const PartDescription& place) {
  const std::size_t own = type.pins.size();
  if (place.pin_count == 0 || 5 * place.pin_count >= 4 * own) return true;
  if (2 * place.pin_count <= own || place.pins.empty()) return false;
  return std::all_of(type.pins.begin(), type.pins.end(), [&](const Pin& pin) {
    const bool power = pin.role == PinRole::supply || pin.role == PinRole::ground;
    return !power || std::find(place.pins.begin(), place.pins.end(), pin.number) != place.pins.end();
  });
}

}  // namespace

std::optional<Package> package_of(std::string_view footprint) {
  const std::string text = lower(footprint);
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (at > 0 && letter(text[at - 1])) continue;
    for (const Word& word : kWords) {
      if (std::string_view(text).substr(at, word.word.size()) != word.word) continue;
      const std::size_t number = number_behind(text, at + word.word.size());
      if (number > 0) return Package{word.kind, number};
    }
  }
  return std::nullopt;
}

std::size_t pins_told(std::string_view text) {
  const std::string small = lower(text);
  for (std::size_t at = 1; at + 1 < small.size(); ++at) {
    if (small[at] != 'x' || !digit(small[at - 1]) || !digit(small[at + 1])) continue;
    std::size_t start = at;
    while (start > 0 && digit(small[start - 1])) --start;
    std::size_t end = at + 1;
    while (end < small.size() && digit(small[end])) ++end;
    if (start > 0 && (small[start - 1] == '.' || letter(small[start - 1]))) continue;
    if (end < small.size() && (small[end] == '.' || letter(small[end]))) continue;
    const std::size_t count = number_at(small, start) * number_at(small, at + 1);
    if (count >= 1 && count <= 512) return count;
  }
  return 0;
}

bool fits_place(const PartType& type, const PartDescription& place) {
  const std::size_t own = type.pins.size();
  for (const std::string& pin : place.pins)
    if (!type.pin_by_number(pin)) return false;
  if (place.pin_count > own) return false;
  if (const auto package = package_of(place.footprint)) return fits_outline(type, *package);
  return enough_pins(type, place);
}

}  // namespace halfsplit::parts
