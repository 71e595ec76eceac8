#include "netlist/bom_references.h"

#include <algorithm>
#include <cctype>
#include <optional>

#include "base/text.h"

namespace halfsplit::netlist {

namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

struct Numbered {
  std::string head;
  unsigned long number = 0;
};

/// "R12" -> R, 12. Nothing when there is no number at the end, or no head where one is needed.
std::optional<Numbered> numbered(std::string_view text) {
  std::size_t start = text.size();
  while (start > 0 && is_digit(text[start - 1])) --start;
  constexpr std::size_t kMostDigits = 6;
  if (start == text.size() || text.size() - start > kMostDigits) return std::nullopt;
  return Numbered{std::string(text.substr(0, start)), std::stoul(std::string(text.substr(start)))};
}

/// Appends the range's references; false when `piece` is no range.
bool spell_out(std::string_view piece, std::vector<std::string>& refs) {
  constexpr unsigned long kMostInRange = 1000;
  std::size_t at = piece.find(".."), width = 2;
  if (at == std::string_view::npos) {
    at = piece.find('-', 1);
    width = 1;
  }
  if (at == std::string_view::npos) return false;
  const auto first = numbered(trim(piece.substr(0, at))), last = numbered(trim(piece.substr(at + width)));
  if (!first || !last || first->head.empty() || !std::isalpha(static_cast<unsigned char>(first->head.back()))) return false;
  if (!last->head.empty() && last->head != first->head) return false;
  if (last->number <= first->number || last->number - first->number >= kMostInRange) return false;
  for (unsigned long n = first->number; n <= last->number; ++n) refs.push_back(first->head + std::to_string(n));
  return true;
}

bool says_none(std::string_view text) {
  const std::string word = lower(text);
  return word.empty() || word == "-" || word == "--" || word == "n/a" || word == "na" || word == "none" || word == "~";
}

/// "R1" or "SW12A" but not "BANK" or "0": what a blank-parted list consists of.
bool looks_like_reference(std::string_view word) {
  return std::isalpha(static_cast<unsigned char>(word.front())) && std::any_of(word.begin(), word.end(), is_digit);
}

void add_blank_parted(std::string_view piece, bool ranges, CellReferences& out) {
  const std::vector<std::string_view> parts = words(piece);
  const bool list = parts.size() > 1 && std::all_of(parts.begin(), parts.end(), looks_like_reference);
  if (!list) return out.refs.emplace_back(piece), void();
  for (const std::string_view part : parts) {
    if (ranges && spell_out(part, out.refs)) out.ranges = true;
    else out.refs.emplace_back(part);
  }
}

}  // namespace

CellReferences references_in(std::string_view cell, bool ranges) {
  CellReferences out;
  std::size_t start = 0;
  const std::string_view text = trim(cell);
  if (says_none(text)) {
    out.none = true;
    return out;
  }
  while (start <= text.size()) {
    const std::size_t end = std::min(text.find_first_of(",;\r\n\t", start), text.size());
    const std::string_view piece = trim(text.substr(start, end - start));
    start = end + 1;
    if (piece.empty() || says_none(piece)) continue;
    if (ranges && spell_out(piece, out.refs)) out.ranges = true;
    else add_blank_parted(piece, ranges, out);
  }
  out.none = out.refs.empty();
  return out;
}

}  // namespace halfsplit::netlist
