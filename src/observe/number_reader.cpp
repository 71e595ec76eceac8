#include "observe/number_reader.h"

#include <fmt/core.h>

#include <cctype>
#include <charconv>
#include <cmath>
#include <limits>
#include <utility>

#include "base/text.h"

namespace halfsplit::observe {
namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }

std::size_t digits_at(std::string_view text, std::size_t i) {
  std::size_t n = 0;
  while (i + n < text.size() && digit(text[i + n])) ++n;
  return n;
}

/// Infinity when it doesn't fit a double.
double number_of(const std::string& plain) {
  double value = 0;
  const auto [end, trouble] = std::from_chars(plain.data(), plain.data() + plain.size(), value);
  return trouble == std::errc{} ? value : std::numeric_limits<double>::infinity();
}

/// Digits with separators, as written.
struct Digits {
  std::string plain;         ///< "1234.5", a point for the decimal sign
  std::size_t length = 0;
  std::size_t unknown = 0;   ///< wildcard digits at the end: "14.xx" has 2
  bool whole = true;
  bool one_comma = false;    ///< "4,925": a comma and exactly three digits, so decimal or thousands
};

/// Groups of three after the first separator, all with the same one.
std::size_t group_length(std::string_view text, std::size_t i, char separator) {
  std::size_t n = 0;
  while (i + n < text.size() && text[i + n] == separator && digits_at(text, i + n + 1) == 3) n += 4;
  return n;
}

void read_wildcards(std::string_view text, Digits& out) {
  const std::size_t start = out.length;
  std::size_t end = start;
  while (end < text.size() && (text[end] == 'x' || text[end] == 'X')) ++end;
  const bool glued = end < text.size() && (digit(text[end]) || letter(text[end])) && !unit_word(text.substr(end, text.find_first_of(" ,;()-/", end) - end));
  if (end == start || glued || out.plain.find('.') == std::string::npos) return;
  out.unknown = end - start;
  out.length = end;
}

Digits read_digits(std::string_view text) {
  Digits out;
  const std::size_t head = digits_at(text, 0);
  out.plain = text.substr(0, head);
  out.length = head;
  const auto take_fraction = [&](std::size_t i) {
    const std::size_t n = digits_at(text, i + 1);
    const bool wildcard = n == 0 && i + 1 < text.size() && (text[i + 1] == 'x' || text[i + 1] == 'X') && text[i] == '.';
    if (n == 0 && !wildcard) return;
    out.plain += "." + std::string(text.substr(i + 1, n));
    out.length = i + 1 + n;
    out.whole = false;
  };
  if (head < text.size() && (text[head] == ',' || text[head] == '\'' || text[head] == '.')) {
    const char separator = text[head];
    const std::size_t groups = head >= 1 && head <= 3 && text[0] != '0' ? group_length(text, head, separator) : 0;
    const std::size_t after = head + groups;
    const char next = after < text.size() ? text[after] : ' ';
    const bool fraction_follows = (next == '.' || next == ',') && next != separator && digits_at(text, after + 1) > 0;
    if (groups > 4 || (groups == 4 && (separator == '\'' || fraction_follows))) {
      for (std::size_t i = head; i < after; ++i)
        if (digit(text[i])) out.plain += text[i];
      out.length = after;
      if (fraction_follows) take_fraction(after);
    } else if (separator != '\'') {
      take_fraction(head);
      out.one_comma = groups == 4 && separator == ',';
    }
  }
  read_wildcards(text, out);
  return out;
}

/// "4,925 V" can't be thousands where so much can't be measured; "15,359 bytes" can't be a fraction; else it is asked.
void settle_comma(Amount& amount) {
  const double thousands = std::abs(amount.from) * 1000 * amount.unit.scale;
  const Unit unit = amount.unit.unit;
  const std::string plain = std::exchange(amount.comma, {});
  if (unit == Unit::bytes) {
    amount.from *= 1000;
    amount.to *= 1000;
    return;
  }
  if ((unit == Unit::volts && thousands >= 1000) || (unit == Unit::amps && thousands >= 100)) return;
  const std::string head = plain.substr(0, plain.find('.')), fraction = plain.substr(plain.find('.') + 1);
  amount.doubt = fmt::format("{0},{1} can be {0}.{1} or {0}{1}: type it with a point, or without the comma", head, fraction);
}

/// The letter between digits stands for the point: 4k7 4v3 2R2 1M5 4u7.
std::optional<UnitWord> infix_letter(char c) {
  switch (c) {
    case 'v': case 'V': case 'a': case 'A': case 'r': case 'R': case 'k': case 'K': case 'm': case 'M': case 'u': case 'n': case 'p': return unit_word(std::string_view(&c, 1));
    default: return std::nullopt;
  }
}

/// Letters glued to the number, hyphens between letters included ("mega-ohm", "Vp-p").
std::size_t unit_length(std::string_view text, std::size_t i) {
  if (i < text.size() && text[i] == '%') return 1;
  std::size_t n = 0;
  while (i + n < text.size() && (letter(text[i + n]) || (n > 0 && text[i + n] == '-' && i + n + 1 < text.size() && letter(text[i + n + 1])))) ++n;
  return n;
}

bool word_goes_on(std::string_view text, std::size_t i) {
  return i < text.size() && (digit(text[i]) || letter(text[i]) || text[i] == '_' || static_cast<unsigned char>(text[i]) >= 0x80);
}

/// Takes the unit glued to the number at `i`; false when letters follow that are no unit.
bool take_unit(std::string_view text, std::size_t& i, Amount& amount) {
  for (std::size_t n = unit_length(text, i); n > 0;) {
    if (const auto unit = unit_word(text.substr(i, n)); unit && !word_goes_on(text, i + n)) {
      if (!give_unit(amount, text.substr(i, n))) return false;
      i += n;
      return true;
    }
    const std::size_t hyphen = text.substr(i, n).rfind('-');
    n = hyphen == std::string_view::npos ? 0 : hyphen;
  }
  return !word_goes_on(text, i);
}

bool take_infix(std::string_view text, std::size_t& i, Amount& amount, const std::string& plain) {
  const auto letter_unit = i < text.size() ? infix_letter(text[i]) : std::nullopt;
  const std::size_t n = digits_at(text, i + 1);
  if (!letter_unit || n == 0 || n > 3) return false;
  amount.unit = *letter_unit;
  amount.from = amount.to = number_of(plain + "." + std::string(text.substr(i + 1, n)));
  amount.whole = false;
  i += 1 + n;
  return true;
}

void take_exponent(std::string_view text, std::size_t& i, std::string& plain) {
  if (i + 1 >= text.size() || (text[i] != 'e' && text[i] != 'E')) return;
  const bool sign = text[i + 1] == '-' || text[i + 1] == '+';
  const std::size_t n = digits_at(text, i + 1 + sign);
  if (n == 0 || n > 2) return;
  plain += "e";
  if (text[i + 1] == '-') plain += "-";
  plain += text.substr(i + 1 + sign, n);
  i += 1 + sign + n;
}

}  // namespace

bool give_unit(Amount& amount, std::string_view word) {
  if (amount.has_unit() && !amount.unit.implied && amount.unit.written != "R" && amount.unit.written != "r") return false;
  const auto second = unit_word(word);
  if (!second || (amount.has_unit() && second->implied)) return false;
  const bool r_then_ohm = amount.has_unit() && !amount.unit.implied;
  const auto whole = !amount.has_unit() ? second : r_then_ohm ? (second->unit == Unit::ohms && second->scale == 1 ? second : std::nullopt) : unit_word(amount.unit.written + std::string(word));
  if (!whole) return false;
  amount.unit = *whole;
  if (!amount.comma.empty()) settle_comma(amount);
  return true;
}

ReadNumber read_number(std::string_view text) {
  ReadNumber out;
  Amount& amount = out.amount;
  std::size_t i = !text.empty() && (text[0] == '-' || text[0] == '+') ? 1 : 0;
  amount.negative = i == 1 && text[0] == '-';
  const bool bare_point = i + 1 < text.size() && text[i] == '.' && digit(text[i + 1]);
  if (i >= text.size() || (!digit(text[i]) && !bare_point)) return out;
  Digits digits = read_digits(text.substr(i));
  i += digits.length;
  amount.whole = digits.whole && amount.negative == false && text[0] != '+';
  if (!take_infix(text, i, amount, digits.plain)) take_exponent(text, i, digits.plain);
  if (!amount.has_unit()) amount.from = amount.to = number_of(digits.plain);
  if (digits.unknown > 0) {
    const std::string nines(digits.unknown, '9');
    amount.to = number_of(digits.plain + nines);
  }
  if (amount.negative) {
    amount.from = -amount.from;
    amount.to = -amount.to;
    std::swap(amount.from, amount.to);
  }
  if (digits.one_comma) amount.comma = digits.plain;
  if (!std::isfinite(amount.from) || !std::isfinite(amount.to)) amount.doubt = "the number is out of every range";
  if (!take_unit(text, i, amount)) return ReadNumber{};
  out.length = i;
  return out;
}

}  // namespace halfsplit::observe
