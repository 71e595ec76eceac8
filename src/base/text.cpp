#include "base/text.h"

#include <fmt/core.h>
#include <utf8proc.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace halfsplit {

namespace {
constexpr std::string_view kBlanks = " \t\r\n\f\v";
bool is_digit(char c) { return c >= '0' && c <= '9'; }
char lower_letter(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; }
char upper_letter(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; }
}  // namespace

std::string_view trim(std::string_view text) {
  const std::size_t first = text.find_first_not_of(kBlanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kBlanks) - first + 1);
}

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), lower_letter);
  return out;
}

std::string upper(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), upper_letter);
  return out;
}

std::vector<std::string_view> split(std::string_view text, char separator) {
  std::vector<std::string_view> pieces;
  for (std::size_t at = text.find(separator); at != std::string_view::npos; at = text.find(separator)) {
    pieces.push_back(text.substr(0, at));
    text.remove_prefix(at + 1);
  }
  pieces.push_back(text);
  return pieces;
}

std::vector<std::string_view> words(std::string_view text) {
  std::vector<std::string_view> pieces;
  for (;;) {
    const std::size_t first = text.find_first_not_of(" \t");
    if (first == std::string_view::npos) return pieces;
    text.remove_prefix(first);
    const std::size_t length = std::min(text.find_first_of(" \t"), text.size());
    pieces.push_back(text.substr(0, length));
    text.remove_prefix(length);
  }
}

bool starts_with(std::string_view text, std::string_view head) { return text.substr(0, head.size()) == head; }
bool ends_with(std::string_view text, std::string_view tail) {
  return text.size() >= tail.size() && text.substr(text.size() - tail.size()) == tail;
}

std::string join(const std::vector<std::string>& pieces, std::string_view separator) {
  std::string out;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (i > 0) out += separator;
    out += pieces[i];
  }
  return out;
}

namespace {
/// Takes a run of digits off the front, without its leading zeros.
std::string_view take_number(std::string_view& text) {
  std::size_t length = 0;
  while (length < text.size() && is_digit(text[length])) ++length;
  std::string_view digits = text.substr(0, length);
  text.remove_prefix(length);
  while (digits.size() > 1 && digits.front() == '0') digits.remove_prefix(1);
  return digits;
}
}  // namespace

bool natural_less(std::string_view a, std::string_view b) {
  const std::string_view whole_a = a, whole_b = b;
  while (!a.empty() && !b.empty()) {
    if (is_digit(a.front()) && is_digit(b.front())) {
      const std::string_view x = take_number(a), y = take_number(b);
      if (x.size() != y.size()) return x.size() < y.size();
      if (x != y) return x < y;
      continue;
    }
    if (a.front() != b.front()) return static_cast<unsigned char>(a.front()) < static_cast<unsigned char>(b.front());
    a.remove_prefix(1);
    b.remove_prefix(1);
  }
  if (a.empty() != b.empty()) return a.empty();
  return whole_a < whole_b;  // "U02" and "U2" are equal so far: any fixed order will do
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  // Optimal string alignment by rows (Wagner and Fischer 1974, with adjacent swaps): only the last three rows are kept.
  std::vector<std::size_t> before(b.size() + 1), above(b.size() + 1), row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    before.swap(above);
    above.swap(row);
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = std::min({change, above[j] + 1, row[j - 1] + 1});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = std::min(row[j], before[j - 2] + 1);
    }
  }
  return row[b.size()];
}

std::optional<std::string> did_you_mean(std::string_view word, const std::vector<std::string>& candidates) {
  constexpr std::size_t kLongestWord = 64;
  if (word.empty() || word.size() > kLongestWord) return std::nullopt;
  const std::string wanted = lower(word);
  std::size_t best = std::max<std::size_t>(1, word.size() / 3) + 1;
  const std::string* nearest = nullptr;
  for (const std::string& candidate : candidates) {
    const std::size_t longer = std::max(candidate.size(), word.size()), shorter = std::min(candidate.size(), word.size());
    if (longer - shorter >= best) continue;
    const std::size_t distance = edit_distance(wanted, lower(candidate));
    if (distance >= best || distance >= longer) continue;
    best = distance;
    nearest = &candidate;
  }
  return nearest ? std::optional(*nearest) : std::nullopt;
}

std::string in_quotes(std::string_view text) {
  constexpr std::size_t kMostCharacters = 60;
  std::string out = "\"";
  std::size_t characters = 0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if ((byte & 0xc0u) != 0x80u && ++characters > kMostCharacters) return out + "\"...";
    if (byte < 0x20 || byte == 0x7f) out += fmt::format("\\x{:02x}", byte);
    else out += c;
  }
  return out + "\"";
}

std::size_t display_width(std::string_view text) {
  std::size_t total = 0;
  int cluster = 0;  // columns of the grapheme cluster being read: its widest code point
  utf8proc_int32_t state = 0, last = -1;
  while (!text.empty()) {
    utf8proc_int32_t point = -1;
    const auto* bytes = reinterpret_cast<const utf8proc_uint8_t*>(text.data());
    const utf8proc_ssize_t length = utf8proc_iterate(bytes, static_cast<utf8proc_ssize_t>(text.size()), &point);
    text.remove_prefix(length > 0 ? static_cast<std::size_t>(length) : 1);
    if (length <= 0) point = 0xfffd;
    if (last < 0 || utf8proc_grapheme_break_stateful(last, point, &state)) {
      total += static_cast<std::size_t>(cluster);
      cluster = 0;
    }
    cluster = std::max(cluster, utf8proc_charwidth(point));
    last = point;
  }
  return total + static_cast<std::size_t>(cluster);
}

std::string padded(std::string_view text, std::size_t width) {
  const std::size_t used = display_width(text);
  return std::string(text) + std::string(width > used ? width - used : 0, ' ');
}

namespace {

/// A finite value rounded to `digits` significant digits, as mantissa text and decimal exponent.
struct Rounded {
  double value = 0;
  int exponent = 0;
  std::string mantissa;
};

Rounded rounded(double value, int digits) {
  const std::string text = fmt::format("{:.{}e}", value, std::max(digits, 1) - 1);
  Rounded out;
  const std::size_t e = text.find('e');
  out.mantissa = text.substr(0, e);
  const char* from = text.data() + e + 1 + (text[e + 1] == '+' ? 1 : 0);
  std::from_chars(from, text.data() + text.size(), out.exponent);
  std::from_chars(text.data(), text.data() + text.size(), out.value);
  return out;
}

std::string without_trailing_zeros(std::string text) {
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

}  // namespace

std::string shown(double value, int digits) {
  if (std::isnan(value)) return "unknown";
  if (std::isinf(value)) return value > 0 ? "infinite" : "-infinite";
  if (value == 0) return "0";
  const Rounded r = rounded(value, digits);
  if (r.exponent < -4 || r.exponent >= 9) return without_trailing_zeros(r.mantissa) + "e" + std::to_string(r.exponent);
  return without_trailing_zeros(fmt::format("{:.{}f}", r.value, std::max(0, std::max(digits, 1) - 1 - r.exponent)));
}

std::string shown_with_unit(double value, std::string_view unit, int digits) {
  static constexpr std::array<const char*, 7> kPrefixes = {"p", "n", "\u00b5", "m", "", "k", "M"};
  if (!std::isfinite(value) || value == 0) return shown(value, digits) + " " + std::string(unit);
  const Rounded r = rounded(value, digits);
  const int thousands = std::clamp(static_cast<int>(std::floor(r.exponent / 3.0)), -4, 2);
  const std::string number = shown(r.value * std::pow(10.0, -3 * thousands), digits);
  return number + " " + kPrefixes[static_cast<std::size_t>(thousands + 4)] + std::string(unit);
}

}  // namespace halfsplit
