// Content: what was wanted and what was got, as memory tests and dumps show it: "wanted 0f got 0b", "255 -> 253", "got 0b instead of 0f".
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>

#include "base/text.h"
#include "observe/value_reader.h"

namespace halfsplit::observe {
namespace {

constexpr std::array<std::string_view, 7> kWanted = {"wanted", "want", "expected", "expect", "wrote", "written", "should be"};
constexpr std::array<std::string_view, 9> kGot = {"got", "found", "read", "reads", "was", "is", "saw", "gave", "actual"};
constexpr std::array<std::string_view, 4> kSkip = {",", "=", ":", "but"};

template <class List>
bool one_of(const Typed& typed, std::size_t i, const List& list) {
  return std::any_of(list.begin(), list.end(), [&](std::string_view word) { return typed.is(i, word); });
}

/// A byte or word as typed: "0f", "$0F", "0x0f", "&0F", "0Fh", "255".
struct Digits {
  std::string digits;
  bool marked = false;    ///< a hexadecimal mark was written
  bool letters = false;   ///< holds a..f, or a leading zero as in "04"
};

bool all_hex(std::string_view text) {
  return !text.empty() && text.size() <= 8 && std::all_of(text.begin(), text.end(), [](char c) { return std::isxdigit(static_cast<unsigned char>(c)) != 0; });
}

std::optional<Digits> digits_at(const Typed& typed, std::size_t& i) {
  std::size_t j = i;
  Digits out;
  if (typed.is(j, "$") || typed.is(j, "&") || typed.is(j, "#")) { out.marked = true; ++j; }
  const Token* token = typed.at(j);
  if (token == nullptr || token->kind == Token::Kind::mark) return std::nullopt;
  std::string text = lower(token->text);
  if (starts_with(text, "0x")) { out.marked = true; text.erase(0, 2); }
  else if (text.size() > 1 && text.back() == 'h') { out.marked = true; text.pop_back(); }
  if (!all_hex(text)) return std::nullopt;
  out.letters = text.find_first_of("abcdef") != std::string::npos || (text.size() > 1 && text[0] == '0');
  out.digits = text;
  i = j + 1;
  return out;
}

std::uint32_t number(const std::string& digits, int base) {
  std::uint32_t value = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), value, base);
  return value;
}

ParsedValue content(const Digits& wanted, const Digits& got) {
  const bool hex = wanted.marked || got.marked || wanted.letters || got.letters;
  ParsedValue out;
  out.kind = Kind::content;
  out.value.wanted_got = {number(wanted.digits, hex ? 16 : 10), number(got.digits, hex ? 16 : 10)};
  out.value.word = out.value.wanted_got->first == out.value.wanted_got->second ? Word::right : Word::wrong;
  return out;
}

void skip(const Typed& typed, std::size_t& i) {
  while (one_of(typed, i, kSkip)) ++i;
}

/// Takes one or two words of a list entry ("should be").
bool take(const Typed& typed, std::size_t& i, bool wanted) {
  if (wanted && typed.is(i, "should") && typed.is(i + 1, "be")) { i += 2; return true; }
  if (wanted && typed.is(i, "instead") && typed.is(i + 1, "of")) { i += 2; return true; }
  if (!(wanted ? one_of(typed, i, kWanted) : one_of(typed, i, kGot))) return false;
  ++i;
  return true;
}

/// A decimal with a unit glued to it is a measurement unless words say otherwise.
bool measured(const Typed& typed, std::size_t i) { return typed.number_at(i) && (typed.at(i)->amount.has_unit() || !typed.at(i)->amount.whole); }

}  // namespace

Result<std::optional<ParsedValue>> read_wanted_got(const Typed& typed, std::size_t& i) {
  using Form = std::optional<ParsedValue>;
  std::size_t j = i;
  const bool wanted_first = take(typed, j, true);
  const bool got_first = !wanted_first && take(typed, j, false);
  skip(typed, j);
  const std::size_t a_at = j;
  const auto a = digits_at(typed, j);
  if (!a) return Form{};
  skip(typed, j);
  const bool arrow = !wanted_first && !got_first && typed.is(j, "->");
  const bool then_wanted = !wanted_first && !arrow && take(typed, j, true);
  const bool then_got = !got_first && !then_wanted && !arrow && take(typed, j, false);
  if (arrow) ++j;
  if (!arrow && !then_wanted && !then_got) return Form{};
  skip(typed, j);
  const std::size_t b_at = j;
  const auto b = digits_at(typed, j);
  if (!b || (measured(typed, a_at) && measured(typed, b_at) && !wanted_first && !got_first)) return Form{};
  i = j;
  return Form{then_wanted ? content(*b, *a) : content(*a, *b)};
}

}  // namespace halfsplit::observe
