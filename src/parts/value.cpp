// Passive values as parts lists write them. The rules are those counted on published lists: the ohm sign and a voltage fall away, a letter between digits
// is the decimal point, a comma before exactly three digits marks thousands, m after a capacitance is micro.
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>

#include "base/text.h"
#include "parts/match.h"

namespace halfsplit::parts {

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

std::string replaced(std::string text, std::string_view from, std::string_view to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size()) text.replace(at, from.size(), to);
  return text;
}

/// Both micro signs become u, both ohm signs ohm; a lone Latin-1 micro sign too.
std::string plain(std::string_view text) {
  std::string out(trim(text));
  for (const char* micro : {"\xc2\xb5", "\xce\xbc", "\xb5"}) out = replaced(out, micro, "u");
  for (const char* ohm : {"\xce\xa9", "\xe2\x84\xa6", "\xcf\x89"}) out = replaced(out, ohm, "ohm");
  return out;
}

struct Number {
  double value = 0;
  bool point = false;      ///< a decimal point or comma was there
  std::string digits;      ///< without separators
};

/// Number at the head of `text`, which is cut.
std::optional<Number> take_number(std::string_view& text) {
  std::size_t end = 0;
  while (end < text.size() && (digit(text[end]) || text[end] == '.' || text[end] == ',')) ++end;
  while (end > 0 && text[end - 1] == ',') --end;
  std::string_view raw = text.substr(0, end);
  Number out;
  const std::size_t comma = raw.find(',');
  bool thousands = comma != std::string_view::npos && comma >= 1 && comma <= 3 && raw[0] != '0';
  for (std::size_t at = comma; thousands && at < raw.size() && raw[at] == ','; at += 4)
    thousands = at + 3 < raw.size() && digit(raw[at + 1]) && digit(raw[at + 2]) && digit(raw[at + 3]) && (at + 4 == raw.size() || raw[at + 4] == ',' || raw[at + 4] == '.');
  std::string number;
  for (const char c : raw) {
    if (digit(c)) number += c, out.digits += c;
    else if (c == ',' && thousands) continue;
    else if (out.point) return std::nullopt;  // two points
    else number += '.', out.point = true;
  }
  if (out.digits.empty() || out.digits.size() > 15) return std::nullopt;
  const auto [stop, error] = std::from_chars(number.data(), number.data() + number.size(), out.value);
  if (error != std::errc() || stop != number.data() + number.size()) return std::nullopt;
  text.remove_prefix(end);
  return out;
}

std::string_view take_letters(std::string_view& text) {
  std::size_t end = 0;
  while (end < text.size() && letter(text[end])) ++end;
  const std::string_view out = text.substr(0, end);
  text.remove_prefix(end);
  return out;
}

/// Factor of a unit word, empty = none written; nothing when it doesn't belong to the kind.
std::optional<double> factor_of(std::string_view word, ValueKind kind) {
  struct Unit { std::string_view word; double factor; };
  const std::string small = lower(word);
  const auto find = [&](auto& list) -> std::optional<double> {
    for (const Unit& unit : list)
      if (unit.word == small) return unit.factor;
    return std::nullopt;
  };
  static constexpr Unit kOhms[] = {{"", 1},      {"r", 1},      {"e", 1},     {"ohm", 1},   {"ohms", 1},  {"k", 1e3},  {"kr", 1e3}, {"kohm", 1e3},
                                   {"kohms", 1e3}, {"m", 1e6},  {"meg", 1e6}, {"mr", 1e6},  {"mohm", 1e6}, {"mohms", 1e6}, {"g", 1e9}, {"gohm", 1e9}, {"j", 1}};
  static constexpr Unit kFarads[] = {{"f", 1},      {"p", 1e-12},  {"pf", 1e-12}, {"pfd", 1e-12}, {"mmf", 1e-12}, {"mmfd", 1e-12}, {"uuf", 1e-12}, {"uufd", 1e-12}, {"n", 1e-9},
                                     {"nf", 1e-9},  {"u", 1e-6},   {"uf", 1e-6},  {"ufd", 1e-6},  {"m", 1e-6},    {"mf", 1e-6},    {"mfd", 1e-6},   {"k", 1e-9},     {"kpf", 1e-9}};
  static constexpr Unit kHenries[] = {{"h", 1}, {"m", 1e-3}, {"mh", 1e-3}, {"u", 1e-6}, {"uh", 1e-6}, {"r", 1e-6}, {"n", 1e-9}, {"nh", 1e-9}, {"", 1e-6}};
  static constexpr Unit kHertz[] = {{"hz", 1}, {"c", 1}, {"k", 1e3}, {"khz", 1e3}, {"kc", 1e3}, {"m", 1e6}, {"mhz", 1e6}, {"mc", 1e6}, {"g", 1e9}, {"ghz", 1e9}};
  switch (kind) {
    case ValueKind::resistance:
      if (word == "mohm" || word == "mohms") return 1e-3;  // capitals tell: MOhm is a million
      return find(kOhms);
    case ValueKind::capacitance: return find(kFarads);
    case ValueKind::inductance: return find(kHenries);
    case ValueKind::frequency: break;
  }
  return find(kHertz);
}

/// What may follow a value: nothing, a note behind a separator, or how many parts the entry stands for.
bool note(std::string_view rest) {
  if (rest.empty()) return true;
  const char c = rest[0];
  if ((c == 'x' || c == 'X') && rest.size() > 1 && digit(rest[1])) return true;
  return c == ' ' || c == '\t' || c == '/' || c == '(' || c == ',' || c == ';' || c == '-' || c == '_' || c == '%';
}

/// "25V", "/16V", " 10V": a voltage right behind the number.
bool voltage(std::string_view rest) {
  while (!rest.empty() && (rest[0] == ' ' || rest[0] == '/' || rest[0] == '\t')) rest.remove_prefix(1);
  const auto number = take_number(rest);
  if (!number) return false;
  rest = trim(rest);
  return !rest.empty() && (rest[0] == 'V' || rest[0] == 'v') && (rest.size() == 1 || !letter(rest[1]) || lower(rest.substr(0, 2)) == "vd");
}

/// Three figures whose last counts zeros: 104 = 10 and four zeros, in pF. A last figure of 0 is read as a plain number, as older lists write 220.
bool figure_code(const Number& number) {
  const std::string& d = number.digits;
  return !number.point && d.size() == 3 && d[0] != '0' && d[2] >= '1' && d[2] <= '7';
}
double code_farads(const Number& number) {
  return ((number.digits[0] - '0') * 10 + (number.digits[1] - '0')) * std::pow(10.0, number.digits[2] - '0') * 1e-12;
}

std::optional<double> bare_capacitance(const Number& number, std::string_view rest) {
  if (voltage(rest)) return number.value * 1e-6;
  if (rest.size() > 1 && rest[0] == '/' && digit(rest[1])) return std::nullopt;
  if (number.point) return number.value * 1e-6;
  if (figure_code(number)) return code_farads(number);
  return number.value * 1e-12;
}

std::optional<double> bare_frequency(const Number& number) {
  if (number.point || number.value < 1000) return number.value * 1e6;
  return number.value;
}

/// 4K7, 2R2, 4u7, 3M3: the letter is the decimal point. `text` stands behind the letter.
std::optional<double> letter_as_point(const Number& head, std::string_view word, std::string_view& text, ValueKind kind) {
  if (head.point || word.size() != 1 || text.empty() || !digit(text[0])) return std::nullopt;
  std::string_view rest = text;
  std::size_t end = 0;
  while (end < rest.size() && digit(rest[end])) ++end;
  const std::string number = head.digits + "." + std::string(rest.substr(0, end));
  const auto factor = factor_of(word, kind);
  rest.remove_prefix(end);
  if (!factor || (!rest.empty() && rest[0] == '%')) return std::nullopt;
  const bool many = rest.size() > 1 && (rest[0] == 'x' || rest[0] == 'X') && digit(rest[1]);
  const std::string unit = many ? std::string() : lower(take_letters(rest));
  const bool known = unit.empty() || unit == "f" || unit == "fd" || unit == "h" || unit == "hz" || unit == "ohm" || unit == "ohms" || unit == "j" || unit == "k" || unit == "r";
  if (!known || !note(rest)) return std::nullopt;
  text = rest;
  return std::strtod(number.c_str(), nullptr) * *factor;
}

/// A frequency may stand inside a maker's number: "ACO-25.175MHz-A".
std::optional<double> frequency_inside(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (!digit(text[i]) || (i > 0 && (letter(text[i - 1]) || digit(text[i - 1]) || text[i - 1] == '.'))) continue;
    std::string_view rest = text.substr(i);
    const auto number = take_number(rest);
    if (!number) continue;
    rest = trim(rest);
    const std::string unit = lower(take_letters(rest));
    if (unit.size() >= 2 && ends_with(unit, "hz"))
      if (const auto factor = factor_of(unit, ValueKind::frequency)) return number->value * *factor;
  }
  return std::nullopt;
}

/// A word that makes the number before it something else than a value: "0.7 AMP", "40 pins".
bool other_measure(std::string_view word) {
  static constexpr std::string_view kWords[] = {"a", "ma", "amp", "amps", "v", "vdc", "w", "watt", "pin", "pins", "way", "pole", "pos", "mm", "bit"};
  const std::string small = lower(word);
  for (const std::string_view each : kWords)
    if (small == each) return true;
  return false;
}

std::optional<double> read_value(std::string_view text, ValueKind kind) {
  const auto number = take_number(text);
  if (!number) return std::nullopt;
  std::string_view rest = text;
  const bool gap = !rest.empty() && rest[0] == ' ';
  if (gap) rest = trim(rest);
  std::string_view word = take_letters(rest);
  if (other_measure(word) && !factor_of(word, kind)) return std::nullopt;
  if (gap && !word.empty() && !factor_of(word, kind)) {  // a note, not a unit
    word = {};
    rest = text;
  }
  if (word.empty() && gap) {
    std::string_view next = words(text).empty() ? std::string_view() : words(text)[0];
    if (!next.empty() && next.find_first_not_of("0123456789.,") == std::string_view::npos) return std::nullopt;  // two numbers: which one?
    rest = text;
  }
  if (word.size() > 1 && (word.back() == 'x' || word.back() == 'X') && !rest.empty() && digit(rest[0])) {  // 4Kx8
    rest = std::string_view(word.data() + word.size() - 1, rest.size() + 1);
    word.remove_suffix(1);
  } else if (word == "x" || word == "X") {
    word = {};
    rest = text;
  }
  if (word.empty() && kind == ValueKind::capacitance) return note(text) ? bare_capacitance(*number, text) : std::nullopt;
  if (word.empty() && kind == ValueKind::frequency) return note(text) ? bare_frequency(*number) : std::nullopt;
  if (word.empty() && text.size() > 1 && text[0] == '/' && digit(text[1])) return std::nullopt;  // 1/4W
  if (!gap)
    if (const auto value = letter_as_point(*number, word, rest, kind)) return value;
  if (kind == ValueKind::capacitance && figure_code(*number) && word.size() == 1 && std::string_view("JKMZjkmz").find(word[0]) != std::string_view::npos && note(rest))
    return code_farads(*number);
  const auto factor = factor_of(word, kind);
  if (!factor || !note(rest)) return std::nullopt;
  return number->value * *factor;
}

}  // namespace

std::optional<double> parse_value(std::string_view text, ValueKind kind) {
  if (text.size() > 200) return std::nullopt;
  const std::string clean = plain(text);
  if (const auto value = read_value(clean, kind)) return value;
  return kind == ValueKind::frequency ? frequency_inside(clean) : std::nullopt;
}

std::string value_text(double value, ValueKind kind) {
  struct Prefix { double factor; const char* letter; };
  static constexpr Prefix kOhms[] = {{1e9, "G"}, {1e6, "M"}, {1e3, "k"}, {1, ""}};
  static constexpr Prefix kFarads[] = {{1e-6, "u"}, {1e-9, "n"}, {1e-12, "p"}};
  static constexpr Prefix kHenries[] = {{1, "H"}, {1e-3, "mH"}, {1e-6, "uH"}, {1e-9, "nH"}};
  static constexpr Prefix kHertz[] = {{1e6, "MHz"}, {1e3, "kHz"}, {1, "Hz"}};
  const auto text = [&](auto& list) {
    for (const Prefix& prefix : list)
      if (value >= prefix.factor * 0.9999999) return shown(value / prefix.factor, 9) + prefix.letter;
    const Prefix& last = list[std::size(list) - 1];
    return shown(value / last.factor, 9) + last.letter;
  };
  switch (kind) {
    case ValueKind::resistance: return text(kOhms);
    case ValueKind::capacitance: return text(kFarads);
    case ValueKind::inductance: return text(kHenries);
    case ValueKind::frequency: break;
  }
  return text(kHertz);
}

}  // namespace halfsplit::parts
