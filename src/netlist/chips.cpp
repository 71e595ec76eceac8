#include "netlist/chips.h"

#include <algorithm>
#include <cctype>
#include <set>

#include "base/text.h"
#include "board/part_line.h"
#include "parts/match.h"

namespace halfsplit::netlist {
namespace {

constexpr std::size_t kMostChips = 400;

struct Word { std::string ref, printed; std::size_t count = 1; };

bool digit(char c) { return c >= '0' && c <= '9'; }

Word taken_apart(const std::string& text) {
  Word out;
  out.printed = text;
  if (const std::size_t mark = text.find('='); mark != std::string::npos) {
    out.ref = upper(text.substr(0, mark));
    out.printed = text.substr(mark + 1);
    return out;
  }
  std::size_t end = 0;
  while (end < text.size() && end < 3 && digit(text[end])) ++end;
  const bool times = end > 0 && end + 1 < text.size() && (text[end] == 'x' || text[end] == 'X' || text[end] == '*');
  if (!times) return out;
  out.count = static_cast<std::size_t>(std::stoul(text.substr(0, end)));
  out.printed = text.substr(end + 1);
  return out;
}

}  // namespace

Result<std::vector<Chip>> read_chips(const std::vector<std::string>& words, const parts::Library& library) {
  std::vector<Chip> out;
  std::vector<std::string> unknown;
  std::set<std::string> taken;
  for (const std::string& text : words) {
    const Word word = taken_apart(text);
    if (!word.ref.empty() && (!board::is_reference(word.ref) || !taken.insert(word.ref).second)) return usage(in_quotes(word.ref) + " can't be the reference of a chip here", "each reference once, as in U9=74ls245");
    if (word.count == 0 || out.size() + word.count > kMostChips) return usage(in_quotes(text) + ": no such number of chips", "1 to 400 chips in all");
    parts::PartDescription description;
    description.reference = "U1";
    description.value = word.printed;
    const auto match = parts::match_type(library, description);
    const auto type = match ? library.type(match->type) : Result<const parts::PartType*>(not_found(""));
    if (!type || (*type)->pins.empty()) {
      unknown.push_back(word.printed);
      continue;
    }
    for (std::size_t i = 0; i < word.count; ++i) out.push_back({word.ref, word.printed, match->type, match->family == (*type)->family ? "" : match->family, match->value});
  }
  if (!unknown.empty()) return usage("not in the part library: " + join(unknown, ", "), "leave them out for now, or write a part type (docs/parts-format.md); a chip is typed as z80, 2x2764 or U9=74ls245");
  if (out.empty()) return usage("no chip named", "as in: halfsplit sketch z80 2x2764 8x4164 74ls245");
  std::size_t next = 1;
  for (Chip& chip : out) {
    if (!chip.ref.empty()) continue;
    while (!taken.insert("U" + std::to_string(next)).second) ++next;
    chip.ref = "U" + std::to_string(next);
  }
  return out;
}

}  // namespace halfsplit::netlist
