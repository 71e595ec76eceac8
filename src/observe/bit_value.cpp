// Memory reports and dumps: "bits 3 and 5 fail", "bits 0..3 bad", "D3 D5 wrong", "all bits right", "no report", "dump bit 3 differs".
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "base/text.h"
#include "observe/value_reader.h"

namespace halfsplit::observe {
namespace {

using Form = Result<std::optional<ParsedValue>>;
constexpr std::uint32_t kMostBits = 32;
constexpr std::array<std::string_view, 14> kFails = {"fail", "fails", "failed", "failing", "bad", "wrong", "faulty", "stuck", "missing", "differ", "differs", "dead", "down", "error"};
constexpr std::array<std::string_view, 9> kPasses = {"right", "good", "ok", "okay", "fine", "pass", "passed", "match", "matches"};
constexpr std::array<std::string_view, 4> kBetween = {",", "and", "&", "+"};

template <class List>
bool one_of(const Typed& typed, std::size_t i, const List& list) {
  return std::any_of(list.begin(), list.end(), [&](std::string_view word) { return typed.is(i, word); });
}

bool digits(std::string_view text) { return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; }); }

/// "3", "D3"; nothing when it is no bit.
std::optional<std::uint32_t> bit_of(std::string_view text) {
  if (text.size() > 1 && (text[0] == 'd' || text[0] == 'D')) text.remove_prefix(1);
  std::uint32_t bit = 0;
  if (!digits(text) || text.size() > 2) return std::nullopt;
  std::from_chars(text.data(), text.data() + text.size(), bit);
  return bit;
}

/// Bits of one token: "3", "3,5" (taken for a decimal comma by the tokens), "0-3", "0..3".
std::optional<std::vector<std::uint32_t>> bits_in(std::string_view text) {
  std::vector<std::uint32_t> out;
  while (!text.empty()) {
    const std::size_t comma = text.find(',');
    std::string_view piece = text.substr(0, comma);
    text = comma == std::string_view::npos ? std::string_view{} : text.substr(comma + 1);
    const std::size_t dash = piece.find('-'), dots = piece.find("..");
    const std::size_t cut = std::min(dash, dots);
    if (cut != std::string_view::npos) {
      const auto from = bit_of(piece.substr(0, cut)), to = bit_of(piece.substr(cut + (dots == cut ? 2 : 1)));
      if (!from || !to || *from > *to || *to >= 100) return std::nullopt;
      for (std::uint32_t bit = *from; bit <= *to; ++bit) out.push_back(bit);
      continue;
    }
    const auto bit = bit_of(piece);
    if (!bit) return std::nullopt;
    out.push_back(*bit);
  }
  return out;
}

/// The tokens of the list as one text without blanks; stops before the verdict.
std::size_t list_end(const Typed& typed, std::size_t i) {
  while (i < typed.size() && !one_of(typed, i, kFails) && !one_of(typed, i, kPasses) && typed.at(i)->kind != Token::Kind::word) ++i;
  return i;
}

Form read_list(const Typed& typed, std::size_t& i, ParsedValue out) {
  std::uint32_t failing = 0;
  std::size_t j = i;
  bool any = false;
  while (j < typed.size()) {
    if (one_of(typed, j, kBetween)) { ++j; continue; }
    const Token& token = *typed.at(j);
    std::size_t next = j + 1;
    auto bits = bits_in(token.text);
    if (!bits && token.kind != Token::Kind::mark) {  // a range the tokens cut: "0 .. 3"
      next = list_end(typed, j);
      std::string text = next > j ? typed.slice(j, next) : std::string();
      text.erase(std::remove(text.begin(), text.end(), ' '), text.end());
      bits = bits_in(text);
    }
    if (bits && next == j + 1 && (typed.is(next, "..") || typed.is(next, "-") || typed.is(next, "to")) && next + 1 < typed.size() && bits->size() == 1) {
      const auto last = bit_of(typed.at(next + 1)->text);
      if (last && *last >= bits->front()) {
        for (std::uint32_t bit = bits->front() + 1; bit <= *last && bit < 100; ++bit) bits->push_back(bit);
        next += 2;
      }
    }
    if (!bits || bits->empty()) break;
    for (const std::uint32_t bit : *bits) {
      if (bit >= kMostBits) return usage(fmt::format("there is no bit {}", bit), "bits are counted from 0: bits 3 and 5 fail");
      failing |= 1u << bit;
    }
    any = true;
    j = next;
  }
  if (!any) return std::optional<ParsedValue>{};
  if (one_of(typed, j, kPasses)) return usage(fmt::format("'{}' understood, but not which bits fail", typed.slice(i, j + 1)), "type the bits that fail, or: all bits right");
  if (one_of(typed, j, kFails)) ++j;
  out.value.failing = failing;
  out.value.word = Word::wrong;
  i = j;
  return std::optional<ParsedValue>{out};
}

bool take_opening(const Typed& typed, std::size_t& i, Kind& kind) {
  std::size_t j = i;
  if (typed.is(j, "dump") || typed.is(j, "compare")) {
    kind = Kind::dump;
    ++j;
    if (typed.is(j, "compare")) ++j;
  } else if ((typed.is(j, "memory") || typed.is(j, "ram")) && (typed.is(j + 1, "report") || typed.is(j + 1, "test"))) {
    j += 2;
  } else if (typed.is(j, "memory report") || typed.is(j, "memory test") || typed.is(j, "report")) {
    ++j;
  } else {
    return false;
  }
  while (typed.is(j, ":") || typed.is(j, "=") || typed.is(j, "says") || typed.is(j, "names")) ++j;
  i = j;
  return true;
}

}  // namespace

Form read_bits(const Typed& typed, std::size_t& i) {
  std::size_t j = i;
  ParsedValue out;
  out.kind = Kind::memory;
  const bool opened = take_opening(typed, j, out.kind);
  const auto finish = [&](Word word, std::uint32_t failing, std::size_t next) -> Form {
    out.value.word = word;
    if (word == Word::dead) out.value.note = "no report";
    else out.value.failing = failing;
    i = next;
    return std::optional<ParsedValue>{out};
  };
  if (out.kind == Kind::memory && typed.is(j, "no") && typed.is(j + 1, "report")) return finish(Word::dead, 0, j + 2);
  if (opened && out.kind == Kind::memory && (typed.is(j, "none") || typed.is(j, "dead"))) return finish(Word::dead, 0, j + 1);
  const bool all = typed.is(j, "all") || typed.is(j, "every");
  if (all && (typed.is(j + 1, "bits") || typed.is(j + 1, "bit"))) {
    if (one_of(typed, j + 2, kPasses)) return finish(Word::right, 0, j + 3);
    if (one_of(typed, j + 2, kFails)) return finish(Word::wrong, kAllBits, j + 3);
  }
  if (opened && out.kind == Kind::memory && one_of(typed, j, kPasses)) return finish(Word::right, 0, j + 1);
  if (opened && out.kind == Kind::memory && one_of(typed, j, kFails)) { out.value.word = Word::wrong; i = j + 1; return std::optional<ParsedValue>{out}; }
  if (!typed.is(j, "bits") && !typed.is(j, "bit")) return std::optional<ParsedValue>{};
  ++j;
  Form form = read_list(typed, j, out);
  if (!form || form.value()) i = j;
  return form;
}

}  // namespace halfsplit::observe
