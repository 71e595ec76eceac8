// Comparisons: "weaker than U38.11", "same as good", "half of U38.11", "hotter than U8".
#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "observe/value_reader.h"

namespace halfsplit::observe {
namespace {

using How = Relative::How;
struct Row { std::string_view word, joint; How how; std::optional<Kind> kind; };
constexpr std::array kRows = {
    Row{"weaker", "than", How::weaker, {}},            Row{"smaller", "than", How::weaker, {}},
    Row{"lower", "than", How::weaker, {}},             Row{"less", "than", How::weaker, {}},
    Row{"stronger", "than", How::stronger, {}},        Row{"larger", "than", How::stronger, {}},
    Row{"bigger", "than", How::stronger, {}},          Row{"higher", "than", How::stronger, {}},
    Row{"more", "than", How::stronger, {}},            Row{"hotter", "than", How::stronger, Kind::touch},
    Row{"warmer", "than", How::stronger, Kind::touch}, Row{"cooler", "than", How::weaker, Kind::touch},
    Row{"colder", "than", How::weaker, Kind::touch},   Row{"louder", "than", How::stronger, Kind::function},
    Row{"brighter", "than", How::stronger, Kind::function}, Row{"quieter", "than", How::weaker, Kind::function},
    Row{"dimmer", "than", How::weaker, Kind::function}, Row{"fainter", "than", How::weaker, Kind::function},
    Row{"same", "as", How::same, Kind::probe},         Row{"identical", "to", How::same, Kind::probe},
    Row{"equal", "to", How::same, Kind::probe},        Row{"like", "", How::same, Kind::probe},
    Row{"as", "", How::same, Kind::probe},             Row{"different", "from", How::different, Kind::probe},
    Row{"different", "to", How::different, Kind::probe}, Row{"different", "than", How::different, Kind::probe},
    Row{"unlike", "", How::different, Kind::probe},    Row{"half", "of", How::half, {}},
    Row{"half", "", How::half, {}},                    Row{"twice", "", How::twice, {}},
    Row{"double", "", How::twice, {}}};

struct KindWord { std::string_view word; Kind kind; };
constexpr std::array kKindWords = {KindWord{"volts", Kind::volts_dc}, KindWord{"voltage", Kind::volts_dc}, KindWord{"ohms", Kind::ohms},   KindWord{"resistance", Kind::ohms},
                                   KindWord{"diode", Kind::diode},    KindWord{"swing", Kind::swing},      KindWord{"frequency", Kind::frequency}, KindWord{"level", Kind::swing}};
constexpr std::array<std::string_view, 7> kGood = {"good", "known", "working", "healthy", "new", "twin", "sound"};
constexpr std::array<std::string_view, 6> kGoodNouns = {"good", "one", "machine", "board", "unit", "part"};

template <class List>
bool one_of(const Typed& typed, std::size_t i, const List& list) {
  return std::any_of(list.begin(), list.end(), [&](std::string_view word) { return typed.is(i, word); });
}

bool take_kind(const Typed& typed, std::size_t& i, std::optional<Kind>& kind) {
  for (const KindWord& entry : kKindWords)
    if (typed.is(i, entry.word)) {
      kind = entry.kind;
      ++i;
      return true;
    }
  return false;
}

/// "good", "the good machine", "known good", "the other board".
bool take_good(const Typed& typed, std::size_t& i) {
  std::size_t j = i;
  if (typed.is(j, "the") || typed.is(j, "a") || typed.is(j, "my")) ++j;
  if (typed.is(j, "other") && one_of(typed, j + 1, kGoodNouns)) { i = j + 2; return true; }
  if (!one_of(typed, j, kGood)) return false;
  ++j;
  while (one_of(typed, j, kGoodNouns)) ++j;
  i = j;
  return true;
}

/// The longest run of tokens that names a point.
std::optional<Point> take_point(const Typed& typed, std::size_t& i, const board::Machine& machine) {
  constexpr std::size_t kMostTokens = 8;
  for (std::size_t n = std::min(kMostTokens, typed.size() - i); n > 0; --n) {
    auto point = parse_point(typed.slice(i, i + n), machine);
    if (!point) continue;
    i += n;
    return *point;
  }
  return std::nullopt;
}

const Row* take_phrase(const Typed& typed, std::size_t& i, std::optional<Kind>& kind) {
  for (const Row& row : kRows) {
    std::size_t j = i;
    if (typed.is(j, "the") && typed.is(j + 1, "same")) ++j;
    if (!typed.is(j, row.word)) continue;
    ++j;
    std::optional<Kind> said = row.kind;
    if (typed.is(j, "the")) ++j;
    const bool kind_said = take_kind(typed, j, said);
    if (!row.joint.empty() && !typed.is(j, row.joint)) continue;
    if (!row.joint.empty() || (kind_said && (typed.is(j, "of") || typed.is(j, "as")))) ++j;
    if (row.joint.empty() && typed.is(j - 1, "the")) --j;
    kind = said;
    i = j;
    return &row;
  }
  return nullptr;
}

}  // namespace

Result<std::optional<ParsedValue>> read_comparison(const Typed& typed, std::size_t& i, const ValueContext& context) {
  using Form = std::optional<ParsedValue>;
  std::size_t j = i;
  std::optional<Kind> kind;
  const Row* row = take_phrase(typed, j, kind);
  if (row == nullptr || j >= typed.size()) return Form{};
  ParsedValue out;
  out.value.relative = Relative{row->how, std::nullopt};
  if (!take_good(typed, j)) {
    const bool limit_of_a_number = typed.number_at(j) && (row->word == "more" || row->word == "less" || row->word == "lower" || row->word == "higher");
    if (limit_of_a_number) return Form{};
    const std::string other = typed.slice(j, typed.size());
    if (context.machine == nullptr) return usage(fmt::format("'{}' compares with a point, which needs a machine", typed.slice(i, typed.size())), "compare with the good machine: same as good");
    out.value.relative->other = take_point(typed, j, *context.machine);
    if (!out.value.relative->other)
      return not_found(fmt::format("'{}' understood as a comparison, but '{}' is no point of this machine", typed.slice(i, typed.size()), other), "type: weaker than U38.11, or: same as good");
  }
  take_kind(typed, j, kind);
  const bool of_function = context.where == kFunction;
  out.kind = of_function ? Kind::function : kind.value_or(Kind::swing);
  i = j;
  return Form{out};
}

}  // namespace halfsplit::observe
