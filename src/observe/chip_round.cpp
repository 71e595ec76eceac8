#include "observe/chip_round.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "base/text.h"

namespace halfsplit::observe {
namespace {

constexpr std::string_view kLevels = "LHPFZMN01", kSkipped = "-.?X", kPower = "GV";

bool is_mark(char c) { return (kLevels.find(c) != std::string_view::npos) || kSkipped.find(c) != std::string_view::npos || kPower.find(c) != std::string_view::npos; }

std::optional<Word> word_of(char c) {
  switch (c) {
    case 'L': case '0': case 'G': return Word::low;
    case 'H': case '1': case 'V': return Word::high;
    case 'P': return Word::pulsing;
    case 'F': case 'Z': return Word::floating;
    case 'M': return Word::middle;
    case 'N': return Word::absent;
    default: return std::nullopt;
  }
}

/// The marks behind the reference, blanks dropped; nothing when anything else stands there. Written together they need four or more.
std::optional<std::string> marks_in(std::string_view text) {
  std::string out;
  bool together = false, letter = false;
  for (const std::string_view piece : words(text)) {
    together |= piece.size() > 1;
    for (const char c : piece) {
      const char capital = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
      if (!is_mark(capital)) return std::nullopt;
      letter |= std::isalpha(static_cast<unsigned char>(c)) != 0;
      out += capital;
    }
  }
  if (out.size() < 2 || (together && (out.size() < 4 || !letter))) return std::nullopt;
  return out;
}

char mark_of(Word word) {
  switch (word) {
    case Word::low: return 'L';
    case Word::high: return 'H';
    case Word::pulsing: return 'P';
    case Word::floating: return 'F';
    case Word::middle: return 'M';
    case Word::absent: return 'N';
    default: return '?';
  }
}

/// "L P P in cycle read U5": the marks, and the cycle they were seen in; nothing where no cycle is named.
std::pair<std::string_view, std::string> split_cycle(std::string_view text) {
  constexpr std::array<std::string_view, 3> kBefore = {" in cycle ", " during cycle ", " triggered on "};
  for (const std::string_view before : kBefore)
    if (const std::size_t at = text.find(before); at != std::string_view::npos) return {text.substr(0, at), std::string(trim(text.substr(at + before.size())))};
  return {text, {}};
}

/// Pins of a part in the order of their numbers.
std::vector<board::PinId> in_order(const board::Part& part, const board::Machine& machine) {
  std::vector<board::PinId> out;
  for (std::size_t i = 0; i < part.pin_count; ++i) out.emplace_back(part.first_pin.index() + i);
  std::stable_sort(out.begin(), out.end(), [&](board::PinId a, board::PinId b) { return natural_less(machine.pin_type(a).number, machine.pin_type(b).number); });
  return out;
}

Status check_power_pin(char mark, board::PinId pin, const board::Machine& machine) {
  const parts::PinRole role = machine.pin_type(pin).role, wanted = mark == 'G' ? parts::PinRole::ground : parts::PinRole::supply;
  if ((mark != 'G' && mark != 'V') || role == wanted) return Done{};
  return usage(fmt::format("{} is not a {} pin: the marks are out of step", machine.long_name_of(pin), mark == 'G' ? "ground" : "supply"),
               "count from pin 1 on, one mark a pin, - for a pin not read");
}

}  // namespace

Result<std::vector<Observation>> chip_round(const Typed& typed, PointFinder& finder, const board::Setup& state) {
  std::vector<Observation> out;
  const std::size_t cut = typed.text().find(' ');
  if (typed.size() < 2 || cut == std::string::npos) return out;
  std::string_view ref = std::string_view(typed.text()).substr(0, cut);
  if (ends_with(ref, ":")) ref.remove_suffix(1);
  const auto [levels, cycle] = split_cycle(std::string_view(typed.text()).substr(cut));
  const auto marks = marks_in(levels);
  if (!marks) return out;
  const auto part_id = finder.part(ref);
  if (!part_id) return out;
  const board::Machine& machine = finder.machine();
  const board::Part& part = machine.part(*part_id);
  if (marks->size() == 2 && std::isdigit(static_cast<unsigned char>((*marks)[0])) != 0)
    return usage(fmt::format("'{}' can be pin {} or the levels of pins 1 and 2", typed.text(), (*marks)[0]), fmt::format("type {0}.{1} {2}, or {0} and a letter for each pin", part.ref, (*marks)[0], (*marks)[1]));
  if (marks->size() > part.pin_count)
    return usage(fmt::format("{} marks given, but {} has {} pins", marks->size(), part.ref, part.pin_count), "one mark a pin from pin 1 on, - for a pin not read");
  if (!state.powered()) return usage(fmt::format("levels round {} understood, but the bench state says: {}", part.ref, board::describe(state, machine)), "type the state power-on first, then the reading again");
  const auto pins = in_order(part, machine);
  for (std::size_t i = 0; i < marks->size(); ++i) {
    if (Status power = check_power_pin((*marks)[i], pins[i], machine); !power) return power.error();
    const auto word = word_of((*marks)[i]);
    if (!word) continue;
    if (*word == Word::absent && cycle.empty())
      return usage(fmt::format("N (no trigger) at {} understood, but in which bus cycle?", machine.long_name_of(pins[i])), fmt::format("end the line with: in cycle read {}", part.ref));
    Observation one;
    one.kind = cycle.empty() ? Kind::probe : Kind::triggered;
    one.cycle = cycle;
    one.setup = state;
    one.point.at = Point::At::leg;
    one.point.pin = pins[i];
    one.value.word = word;
    out.push_back(std::move(one));
  }
  if (out.empty()) return usage(fmt::format("no pin of {} was read", part.ref), "L H P F a pin, - for a pin not read");
  return out;
}

std::string round_marks(board::PartId id, const std::vector<std::pair<board::PinId, std::optional<Word>>>& seen, const board::Machine& machine) {
  std::string out;
  std::size_t last = 0;
  for (const board::PinId pin : in_order(machine.part(id), machine)) {
    const auto found = std::find_if(seen.begin(), seen.end(), [pin](const auto& one) { return one.first == pin; });
    const bool read = found != seen.end();
    out += out.empty() ? "" : " ";
    out += read ? (found->second ? mark_of(*found->second) : '?') : '-';
    if (read) last = out.size();
  }
  out.resize(last);
  return out;
}

}  // namespace halfsplit::observe
