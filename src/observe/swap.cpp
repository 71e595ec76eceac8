#include "observe/swap.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "observe/point_finder.h"
#include "observe/typed.h"

namespace halfsplit::observe {
namespace {

using board::PartId;

constexpr std::string_view kHow = "type swap U4 U7, swap U4 spare, swap U4 elsewhere works, swap U4 back; behind it unchanged, changed, cured or moved";
constexpr std::size_t kMostSpares = 20;

struct Phrase { std::string_view text; SwapOutcome outcome; };
constexpr std::array kOutcomes = {Phrase{"unchanged", SwapOutcome::unchanged},      Phrase{"no change", SwapOutcome::unchanged},   Phrase{"no difference", SwapOutcome::unchanged},
                                  Phrase{"the same", SwapOutcome::unchanged},       Phrase{"same", SwapOutcome::unchanged},        Phrase{"as before", SwapOutcome::unchanged},
                                  Phrase{"still the same", SwapOutcome::unchanged}, Phrase{"changed", SwapOutcome::changed},       Phrase{"different", SwapOutcome::changed},
                                  Phrase{"cured", SwapOutcome::cured},              Phrase{"works", SwapOutcome::cured},           Phrase{"works now", SwapOutcome::cured},
                                  Phrase{"fixed", SwapOutcome::cured},              Phrase{"moved", SwapOutcome::moved},           Phrase{"fault moved", SwapOutcome::moved},
                                  Phrase{"follows", SwapOutcome::moved},            Phrase{"fault follows", SwapOutcome::moved},   Phrase{"followed", SwapOutcome::moved}};
struct Grade { std::string_view text, grade; };
constexpr std::array kGrades = {Grade{"new", "new"},           Grade{"known good", "known-good"}, Grade{"good", "known-good"},       Grade{"untested", "untested"}, Grade{"used", "untested"},
                                Grade{"pulled", "untested"},   Grade{"tested", "tested"},         Grade{"tested good", "tested"},    Grade{"passed", "tested"},     Grade{"passed a tester", "tested"},
                                Grade{"passed tester", "tested"}, Grade{"unknown", "untested"}};
struct Verdict { std::string_view text; bool works; };
constexpr std::array kVerdicts = {Verdict{"works", true},   Verdict{"works there", true}, Verdict{"good", true},  Verdict{"ok", true},  Verdict{"fine", true},
                                  Verdict{"passes", true},  Verdict{"fails", false},      Verdict{"fails there", false}, Verdict{"dead", false}, Verdict{"bad", false},
                                  Verdict{"does not work", false}, Verdict{"doesn't work", false}};

/// Words of the line, lower case beside as typed; marks between them are dropped, hyphens in words of ours become blanks.
struct Words {
  std::vector<std::string> typed, low;
  std::size_t at = 0;
  bool end() const { return at >= typed.size(); }
};

Words words_in(const std::string& line) {
  Words out;
  for (std::string_view word : words(line)) {
    while (!word.empty() && (word.back() == ',' || word.back() == ';' || word.back() == ':')) word.remove_suffix(1);
    while (!word.empty() && (word.front() == '(' || word.front() == '"')) word.remove_prefix(1);
    while (!word.empty() && (word.back() == ')' || word.back() == '"')) word.remove_suffix(1);
    if (word.empty()) continue;
    out.typed.emplace_back(word);
    out.low.push_back(lower(word));
  }
  return out;
}

/// The longest phrase of the table that starts here; moves on behind it.
template <class Table>
auto take_phrase(Words& words, const Table& table) -> const typename Table::value_type* {
  const typename Table::value_type* best = nullptr;
  std::size_t longest = 0;
  for (const auto& row : table) {
    const auto wanted = halfsplit::words(row.text);
    std::string said;
    for (std::size_t n = 1; n <= wanted.size() && words.at + n <= words.low.size(); ++n) {
      said += (said.empty() ? "" : " ") + words.low[words.at + n - 1];
      std::string plain = said;
      std::replace(plain.begin(), plain.end(), '-', ' ');
      if (plain == row.text && n >= longest) {
        best = &row;
        longest = n;
        break;
      }
    }
  }
  words.at += longest;
  return best;
}

class SwapReader {
 public:
  SwapReader(const board::Machine& machine, const History& history) : machine_(machine), history_(history), finder_(machine), now_(history.state()) {}

  Result<Swap> read(Words& words) {
    out_.now = now_;
    if (const Status understood = read_way(words); !understood) return understood.error();
    if (out_.way != Swap::Way::elsewhere) {
      if (const Phrase* outcome = take_phrase(words, kOutcomes)) out_.outcome = outcome->outcome;
    }
    if (!words.end()) return rest_unknown(words);
    if (out_.way == Swap::Way::none && out_.outcome == SwapOutcome::untold) return usage("no swap given", std::string(kHow));
    if (out_.way == Swap::Way::none && !board::any_fitted(now_)) return usage("an outcome, but of which swap? Every part sits in its own place", std::string(kHow));
    return std::move(out_);
  }

 private:
  Status read_way(Words& words) {
    if (words.end()) return Done{};
    if (words.low[words.at] == "back") {
      ++words.at;
      if (!board::any_fitted(now_)) return usage("every part sits in its own place already", std::string(kHow));
      out_.way = Swap::Way::back;
      out_.now = board::back_home(now_, std::nullopt);
      return Done{};
    }
    Words ahead = words;
    if (take_phrase(ahead, kOutcomes) && ahead.end()) return Done{};
    auto part = part_at(words);
    if (!part) return part.error();
    out_.part = *part;
    while (!words.end() && (words.low[words.at] == "with" || words.low[words.at] == "and" || words.low[words.at] == "a" || words.low[words.at] == "in")) ++words.at;
    if (words.end()) return usage(fmt::format("{} understood, but changed for what?", machine_.part(*part).ref), std::string(kHow));
    const std::string& word = words.low[words.at];
    if (word == "spare") return spare(words);
    if (word == "back") return back(words);
    if (word == "elsewhere" || word == "another" || word == "other") return elsewhere(words);
    return exchange(words);
  }

  Result<PartId> part_at(Words& words) {
    const auto point = finder_.one(words.typed[words.at]);
    if (!point) return point.error();
    if (point->at != Point::At::part) return usage(fmt::format("{} is not a part", describe(*point, machine_)), std::string(kHow));
    ++words.at;
    return point->part;
  }

  /// A part that can be taken out of its place now.
  Status there(PartId place) const {
    const board::Part& part = machine_.part(place);
    if (!part.fitted) return usage(fmt::format("{} is not fitted on this machine", part.ref), "amend says what is fitted");
    for (const board::Action& action : now_.actions())
      if (action.kind == board::Action::Kind::pull && action.part == place) return usage(fmt::format("{} is out: {}", part.ref, board::describe(now_, machine_)), fmt::format("type state {}-in first", part.ref));
    return Done{};
  }

  Status exchange(Words& words) {
    const auto with = part_at(words);
    if (!with) return with.error();
    out_.way = Swap::Way::exchange;
    out_.with = *with;
    for (const PartId place : {out_.part, out_.with})
      if (const Status fit = there(place); !fit) return fit;
    if (const auto why = board::unlike(out_.part, out_.with, machine_)) return usage(why->why, why->hint + likes());
    out_.now = board::exchanged(now_, out_.part, out_.with);
    return Done{};
  }
  std::string likes() const {
    std::vector<std::string> names;
    for (const PartId like : board::like_parts(out_.part, machine_)) names.push_back(machine_.part(like).ref);
    if (names.size() > 8) names.resize(8);
    return names.empty() ? "" : fmt::format("; like {}: {}", machine_.part(out_.part).ref, join(names, ", "));
  }

  Status spare(Words& words) {
    ++words.at;
    out_.way = Swap::Way::spare;
    if (const Status fit = there(out_.part); !fit) return fit;
    const Grade* grade = take_phrase(words, kGrades);
    out_.grade = grade ? std::string(grade->grade) : std::string("untested");
    const auto tried = spares_in(history_);
    const auto here = static_cast<std::size_t>(std::count(tried.begin(), tried.end(), out_.part));
    if (here >= kMostSpares) return usage(fmt::format("{} spares have been tried in the place of {}", here, machine_.part(out_.part).ref), "it is not the part");
    out_.now = board::with_spare(now_, out_.part, static_cast<std::uint8_t>(here + 1), out_.grade);
    return Done{};
  }

  Status back(Words& words) {
    ++words.at;
    out_.way = Swap::Way::back;
    const board::Thing own{out_.part, 0};
    if (board::in_place(out_.part, now_) == own) return usage(fmt::format("{} sits in its own place", machine_.part(out_.part).ref), std::string(kHow));
    out_.now = board::back_home(now_, out_.part);
    return Done{};
  }

  Status elsewhere(Words& words) {
    if (words.low[words.at] != "elsewhere") {
      if (words.at + 1 >= words.low.size() || words.low[words.at + 1] != "machine") return usage(fmt::format("'{}' is not understood", words.typed[words.at]), std::string(kHow));
      ++words.at;
    }
    ++words.at;
    out_.way = Swap::Way::elsewhere;
    if (!machine_.part(out_.part).fitted) return usage(fmt::format("{} is not fitted on this machine", machine_.part(out_.part).ref), "amend says what is fitted");
    const Verdict* verdict = take_phrase(words, kVerdicts);
    if (!verdict) return usage(fmt::format("{} elsewhere understood, but how did it go?", machine_.part(out_.part).ref), fmt::format("type swap {0} elsewhere works, or swap {0} elsewhere fails", machine_.part(out_.part).ref));
    out_.works = verdict->works;
    return Done{};
  }

  Error rest_unknown(const Words& words) const {
    std::string rest;
    for (std::size_t i = words.at; i < words.typed.size(); ++i) rest += (rest.empty() ? "" : " ") + words.typed[i];
    std::string so_far;
    for (std::size_t i = 0; i < words.at; ++i) so_far += (so_far.empty() ? "" : " ") + words.typed[i];
    const bool spare = out_.way == Swap::Way::spare;
    return usage(fmt::format("'{}' understood, but not '{}'", so_far, rest),
                 spare ? "a spare is new, known good, tested or untested; the outcome is unchanged, changed, cured or moved" : "the outcome is unchanged, changed, cured or moved");
  }

  const board::Machine& machine_;
  const History& history_;
  PointFinder finder_;
  const board::Setup now_;
  Swap out_;
};

/// Each spare once, where it first appears.
std::vector<board::Action> spare_actions(const History& history) {
  std::vector<board::Action> out;
  for (const Event& event : history.events()) {
    const auto* change = std::get_if<StateChange>(&event);
    if (!change) continue;
    for (const board::Action& action : change->now.actions()) {
      const bool known = std::any_of(out.begin(), out.end(), [&](const board::Action& one) { return one.from == action.from && one.spare == action.spare; });
      if (action.kind == board::Action::Kind::fit && action.spare > 0 && !known) out.push_back(action);
    }
  }
  return out;
}

}  // namespace

Result<Swap> parse_swap(std::string_view line, const board::Machine& machine, const History& history) {
  const auto clean = clean_line(line);
  if (!clean) return clean.error();
  Words words = words_in(*clean);
  return SwapReader(machine, history).read(words);
}

std::vector<PartId> spares_in(const History& history) {
  std::vector<PartId> out;
  for (const board::Action& action : spare_actions(history)) out.push_back(action.from);
  return out;
}

std::string grade_of_spare(PartId place, std::uint8_t number, const History& history) {
  for (const board::Action& action : spare_actions(history))
    if (action.from == place && action.spare == number) return action.what;
  return "untested";
}

}  // namespace halfsplit::observe
