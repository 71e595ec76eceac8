#include "parts/pattern.h"

#include <algorithm>
#include <charconv>
#include <optional>

namespace halfsplit::parts {

namespace {

constexpr std::size_t kMostTexts = 256;

/// A piece of a pattern: plain text (one value) or the values of a brace.
struct Piece {
  std::size_t offset = 0;
  bool brace = false;
  std::vector<std::string> values;
};

bool digits(std::string_view text) {
  return !text.empty() && text.size() <= 4 && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}
bool letter(std::string_view text) {
  return text.size() == 1 && ((text[0] >= 'A' && text[0] <= 'Z') || (text[0] >= 'a' && text[0] <= 'z'));
}

std::string number_text(int value, std::size_t width) {
  std::string out = std::to_string(value);
  return out.size() < width ? std::string(width - out.size(), '0') + out : out;
}

/// "0..3" -> 0 1 2 3; "A..D" -> A B C D; counts down when the first is larger.
std::optional<std::vector<std::string>> range(std::string_view inside) {
  const std::size_t dots = inside.find("..");
  if (dots == std::string_view::npos) return std::nullopt;
  const std::string_view from = inside.substr(0, dots), to = inside.substr(dots + 2);
  const bool numbers = digits(from) && digits(to);
  if (!numbers && !(letter(from) && letter(to))) return std::nullopt;
  int a = from[0], b = to[0];
  if (numbers) {
    std::from_chars(from.data(), from.data() + from.size(), a);
    std::from_chars(to.data(), to.data() + to.size(), b);
  }
  if (static_cast<std::size_t>(std::abs(a - b)) >= kMostTexts) return std::nullopt;
  const std::size_t width = numbers && from[0] == '0' && from.size() == to.size() ? from.size() : 0;
  std::vector<std::string> out;
  for (int i = a;; i += a < b ? 1 : -1) {
    out.push_back(numbers ? number_text(i, width) : std::string(1, static_cast<char>(i)));
    if (i == b) return out;
  }
}

bool split_pieces(std::string_view pattern, std::vector<Piece>& pieces, TextTrouble& trouble) {
  std::size_t at = 0;
  while (at < pattern.size()) {
    const std::size_t open = pattern.find_first_of("{}", at);
    if (open != at) pieces.push_back({at, false, {std::string(pattern.substr(at, open == std::string_view::npos ? open : open - at))}});
    if (open == std::string_view::npos) return true;
    const std::size_t close = pattern.find('}', open);
    if (pattern[open] == '}' || close == std::string_view::npos) {
      trouble = {open, "a brace without its other half", "write a list as {0..3}"};
      return false;
    }
    auto values = range(pattern.substr(open + 1, close - open - 1));
    if (!values) {
      trouble = {open, "braces hold two numbers or two letters", "write {0..3} or {3..0}, at most 256 long"};
      return false;
    }
    pieces.push_back({open, true, std::move(*values)});
    at = close + 1;
  }
  return true;
}

}  // namespace

std::vector<Expanded> expand_pattern(std::string_view pattern, TextTrouble& trouble) {
  std::vector<Piece> pieces;
  if (!split_pieces(pattern, pieces, trouble)) return {};
  std::size_t count = 1;
  bool counted = false;
  for (const Piece& piece : pieces) {
    if (!piece.brace) continue;
    if (counted && piece.values.size() != count) {
      trouble = {piece.offset, "this list has " + std::to_string(piece.values.size()) + " entries, the one before it " + std::to_string(count),
                 "the braces of one text run together"};
      return {};
    }
    count = piece.values.size();
    counted = true;
  }
  std::vector<Expanded> out(count);
  for (std::size_t i = 0; i < count; ++i) {
    for (const Piece& piece : pieces) {
      const std::string& value = piece.brace ? piece.values[i] : piece.values[0];
      for (std::size_t k = 0; k < value.size(); ++k) out[i].source.push_back(static_cast<std::uint32_t>(piece.offset + (piece.brace ? 0 : k)));
      out[i].text += value;
    }
    out[i].source.push_back(static_cast<std::uint32_t>(pattern.size()));
  }
  return out;
}

Place place_in(const Place& quote, std::string_view text, std::size_t offset) {
  if (text.find('\n') != std::string_view::npos) return quote;
  Place place = quote;
  place.column += 1;
  for (std::size_t i = 0; i < offset && i < text.size(); ++i)
    if ((static_cast<unsigned char>(text[i]) & 0xC0) != 0x80) ++place.column;
  return place;
}

}  // namespace halfsplit::parts
