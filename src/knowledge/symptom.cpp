#include "knowledge/symptom.h"

#include <algorithm>
#include <charconv>

#include "base/text.h"
#include "knowledge/lexicon.h"

namespace halfsplit::knowledge {
namespace {

using board::FunctionId;
using board::Machine;
using observe::Kind;
using observe::Point;
using observe::Word;

std::string joined(const Words& words, std::size_t first) {
  std::string out;
  for (std::size_t i = first; i < words.size(); ++i) out += (out.empty() ? "" : " ") + words[i];
  return out;
}

std::optional<std::uint32_t> whole_number(std::string_view text) {
  std::uint32_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc{} && end == text.data() + text.size() ? std::optional(value) : std::nullopt;
}

/// "3/10", "3 of 10", "3 out of 10".
std::optional<observe::Share> share_in(const Words& words) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    const auto pieces = split(words[i], '/');
    std::optional<std::uint32_t> seen = whole_number(pieces.front()), trials;
    if (pieces.size() == 2) trials = whole_number(pieces[1]);
    else if (i + 2 < words.size() && words[i + 1] == "of") trials = whole_number(words[i + 2]);
    else if (i + 3 < words.size() && words[i + 1] == "out" && words[i + 2] == "of") trials = whole_number(words[i + 3]);
    if (seen && trials && *trials > 0 && *seen <= *trials) return observe::Share{*seen, *trials};
  }
  return std::nullopt;
}

/// The functions of a machine by their own names and by kind.
class Names {
 public:
  explicit Names(const Machine& machine) : machine_(machine) {
    for (const board::Function& function : machine.functions()) {
      ids_.push_back(plain_words(spaced(function.id)));
      titles_.push_back(plain_words(function.title));
      for (const Words* words : {&ids_.back(), &titles_.back()})
        for (const std::string& word : *words)
          if (word.size() > 3) spelling_.push_back(word);
    }
  }
  const Words& spelling() const { return spelling_; }

  std::vector<FunctionId> of_kinds(const std::vector<std::string>& kinds) const {
    std::vector<FunctionId> out;
    for (std::size_t i = 0; i < machine_.functions().size(); ++i)
      if (std::find(kinds.begin(), kinds.end(), machine_.functions()[i].kind) != kinds.end()) out.emplace_back(i);
    return out;
  }

  /// Functions that the words name: all words of an id or a title, or "key" with the key's own name.
  std::vector<FunctionId> named(const Lexicon& lexicon, const Words& words) const {
    std::vector<FunctionId> out = keys_in(lexicon, words);
    for (std::size_t i = 0; i < ids_.size() && out.empty(); ++i)
      if (machine_.functions()[i].kind != "key" && (lexicon.find(ids_[i], words) || all_of_title(lexicon, i, words))) out.emplace_back(i);
    return out;
  }

  std::vector<FunctionId> all_runs_first() const {
    std::vector<FunctionId> out = of_kinds({"runs"});
    for (std::size_t i = 0; i < machine_.functions().size(); ++i)
      if (std::find(out.begin(), out.end(), FunctionId(i)) == out.end()) out.emplace_back(i);
    return out;
  }

 private:
  static std::string spaced(std::string id) {
    std::replace(id.begin(), id.end(), '-', ' ');
    std::replace(id.begin(), id.end(), '_', ' ');
    return id;
  }

  bool all_of_title(const Lexicon& lexicon, std::size_t i, const Words& words) const {
    std::size_t told = 0;
    for (const std::string& word : titles_[i]) {
      if (lexicon.is_filler(word)) continue;
      if (std::find(words.begin(), words.end(), word) == words.end()) return false;
      ++told;
    }
    return told > 0;
  }

  /// "key a", "keys q w e", "the enter key". A key whose name is a filler word ("a") counts right behind "key" or another key's name only.
  std::vector<FunctionId> keys_in(const Lexicon& lexicon, const Words& words) const {
    std::vector<FunctionId> out;
    const auto is_key_word = [](const std::string& word) { return word == "key" || word == "keys"; };
    if (std::none_of(words.begin(), words.end(), is_key_word)) return out;
    bool right_behind = false;
    for (const std::string& word : words) {
      const std::optional<FunctionId> key = right_behind || !lexicon.is_filler(word) ? key_named(word) : std::nullopt;
      if (key) out.push_back(*key);
      right_behind = key.has_value() || is_key_word(word);
    }
    return out;
  }
  std::optional<FunctionId> key_named(const std::string& word) const {
    for (std::size_t i = 0; i < ids_.size(); ++i)
      if (machine_.functions()[i].kind == "key" && ids_[i].size() > 1 && ids_[i].back() == word) return FunctionId(i);
    return std::nullopt;
  }

  const Machine& machine_;
  std::vector<Words> ids_, titles_;
  Words spelling_;
};

/// What the words of one piece say, before the machine's functions come in.
struct Reading {
  const Symptom* symptom = nullptr;
  const Subject* subject = nullptr;
  std::optional<Word> word;
  std::size_t end = 0;  ///< behind the phrase: where a condition may begin
};

class Reader {
 public:
  explicit Reader(const Lexicon& lexicon) : lexicon_(lexicon) {}

  Reading read(const Words& words) const {
    Reading out;
    for (const Lexicon::Phrase& phrase : lexicon_.phrases()) {
      const auto found = lexicon_.find(phrase.words, words);
      if (!found) continue;
      out.symptom = phrase.symptom;
      out.end = found->first + found->length;
      out.word = negated(words, found->first) ? Word::right : phrase.symptom->word;
      Words rest = words;
      rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(found->first), rest.begin() + static_cast<std::ptrdiff_t>(out.end));
      rest.resize(lexicon_.condition_begin(rest, 0));
      if (!names_function(phrase.words)) other_subject(out, rest);
      return out;
    }
    const Words told(words.begin(), words.begin() + static_cast<std::ptrdiff_t>(lexicon_.condition_begin(words, 0)));
    out.subject = subject_in(told);
    out.word = state_in(told);
    return out;
  }

 private:
  /// A negation right before, filler words between them.
  bool negated(const Words& words, std::size_t at) const {
    while (at > 0) {
      --at;
      if (lexicon_.is_negation(words[at])) return true;
      if (!lexicon_.is_filler(words[at])) return false;
    }
    return false;
  }

  bool names_function(const Words& phrase) const {
    const Subject* subject = subject_in(phrase);
    return subject && subject->kinds.front() != "runs";
  }

  /// "disk will not load": the phrase names no function, what is told beside it does.
  void other_subject(Reading& reading, const Words& rest) const {
    const Subject* beside = reading.symptom->kind.empty() ? nullptr : subject_in(rest);
    if (!beside || beside->kinds.front() == "runs" || beside->kinds.front() == reading.symptom->kind) return;
    reading.subject = beside;
    reading.symptom = nullptr;
  }

  /// The subject behind a negation, else the first; words for the machine as a whole ("it", "start") give way to all others.
  const Subject* subject_in(const Words& words) const {
    const Subject* best = nullptr;
    std::pair<int, std::size_t> best_rank{3, 0};
    for (const Lexicon::Term& term : lexicon_.terms()) {
      const auto found = term.subject ? lexicon_.find(term.words, words) : std::nullopt;
      if (!found) continue;
      const bool whole = term.subject->kinds.front() == "runs";
      const std::pair<int, std::size_t> rank{whole ? 2 : negated(words, found->first) ? 0 : 1, found->first};
      if (rank < best_rank) best = term.subject, best_rank = rank;
    }
    return best;
  }

  std::optional<Word> state_in(const Words& words) const {
    bool right = false, not_right = false, subject_missing = false;
    std::optional<Word> abnormal;
    for (const Lexicon::Term& term : lexicon_.terms()) {
      const auto found = lexicon_.find(term.words, words);
      if (!found) continue;
      const bool no = negated(words, found->first);
      if (term.subject) {
        subject_missing = subject_missing || no;
        continue;
      }
      const bool good = term.state->word == Word::right;
      if (good && !no) right = true;
      else if (good) not_right = true;
      else if (no) right = true;
      else abnormal = abnormal ? worse(*abnormal, term.state->word) : term.state->word;
    }
    if (abnormal) return abnormal;
    if (not_right) return Word::bad;
    if (subject_missing) return Word::dead;
    return right ? std::optional(Word::right) : std::nullopt;
  }

  /// What tells more: comes and goes before weak before wrong before dead.
  static Word worse(Word a, Word b) {
    for (const Word word : {Word::intermittent, Word::weak, Word::wrong, Word::dead})
      if (a == word || b == word) return word;
    return a;
  }

  const Lexicon& lexicon_;
};

std::string state_text(const Heard& heard) {
  if (!heard.kind_known) return "abnormal, kind unknown";
  switch (*heard.value.word) {
    case Word::right: return "works";
    case Word::bad: return "does not work";
    default: return observe::name_of(*heard.value.word);
  }
}

observe::Observation observation(const Heard& heard, Point point, Kind kind, const board::Setup& state) {
  observe::Observation out;
  out.setup = state;
  out.point = point;
  out.kind = kind;
  out.value = heard.value;
  out.condition = heard.condition;
  out.share = heard.share;
  out.typed = heard.wording;
  return out;
}

class Matcher {
 public:
  Matcher(const Knowledge& knowledge, const Machine& machine, const board::Setup& state)
      : lexicon_(knowledge.entries()), names_(machine), machine_(machine), state_(state) {}

  std::vector<Heard> match(std::string_view text) {
    std::vector<Heard> out;
    for (const Piece& piece : lexicon_.pieces(text, names_.spelling())) out.push_back(hear(piece));
    return drop_contradicted(std::move(out));
  }

 private:
  Heard hear(const Piece& piece) {
    const Reading reading = Reader(lexicon_).read(piece.words);
    Heard heard;
    heard.wording = piece.typed;
    if (reading.symptom && reading.word != Word::right) heard.symptom = reading.symptom->id;
    heard.kind_known = reading.word.has_value();
    heard.value.word = reading.word.value_or(Word::bad);
    heard.value.note = piece.typed;
    heard.condition = joined(piece.words, lexicon_.condition_begin(piece.words, reading.end));
    heard.share = share_in(piece.words).value_or(observe::Share{});
    if (reading.symptom && reading.symptom->kind.empty()) whole_machine(heard, *reading.symptom);
    else functions(heard, reading, piece.words);
    return heard;
  }

  void whole_machine(Heard& heard, const Symptom& symptom) {
    heard.observations.push_back(observation(heard, Point{}, symptom.look, state_));
    heard.understood = symptom.title;
  }

  void functions(Heard& heard, const Reading& reading, const Words& words) {
    std::vector<FunctionId> found = names_.named(lexicon_, words);
    bool certain = !found.empty();
    if (!certain && (reading.symptom || reading.subject)) {
      found = names_.of_kinds(reading.symptom ? std::vector<std::string>{reading.symptom->kind} : reading.subject->kinds);
      const bool every = reading.symptom ? reading.symptom->every : reading.subject->every;
      const bool fits_all = heard.value.word == Word::dead || heard.value.word == Word::right || heard.value.word == Word::bad;
      certain = found.size() == 1 || (every && fits_all);
    } else if (!certain) {
      found = told_before_.empty() ? unsaid(heard) : told_before_;
      certain = !told_before_.empty() || found.size() == 1;
    }
    if (found.empty()) found = names_.all_runs_first();
    if (found.empty()) return nothing_to_ask(heard);
    heard.understood = state_text(heard);
    if (!certain) {
      heard.ask = std::move(found);
      return;
    }
    for (const FunctionId function : found) heard.observations.push_back(about_function(heard, function, state_));
    heard.understood = (found.size() == 1 ? machine_.function(found.front()).title : std::to_string(found.size()) + " functions") + ": " + heard.understood;
    told_before_ = std::move(found);
  }

  /// "dead", "works fine", "crashes": the machine runs or doesn't.
  std::vector<FunctionId> unsaid(const Heard& heard) const { return heard.kind_known ? names_.of_kinds({"runs"}) : std::vector<FunctionId>{}; }

  void nothing_to_ask(Heard& heard) {
    heard.observations.push_back(observation(heard, Point{}, Kind::function, state_));
    heard.understood = "machine: " + state_text(heard);
  }

  /// "picture works but dim": what is told as abnormal is not right as well.
  static std::vector<Heard> drop_contradicted(std::vector<Heard> all) {
    const auto abnormal = [&](const observe::Point& point) {
      for (const Heard& heard : all)
        for (const observe::Observation& it : heard.observations)
          if (it.point == point && it.value.word != Word::right && it.condition.empty()) return true;
      return false;
    };
    std::vector<Heard> out;
    for (const Heard& heard : all) {
      const bool contradicted = !heard.observations.empty() && heard.value.word == Word::right && abnormal(heard.observations.front().point);
      if (!contradicted) out.push_back(heard);
    }
    return out;
  }

  const Lexicon lexicon_;
  const Names names_;
  const Machine& machine_;
  const board::Setup& state_;
  std::vector<FunctionId> told_before_;
};

}  // namespace

observe::Observation about_function(const Heard& heard, FunctionId function, const board::Setup& state) {
  Point point;
  point.at = Point::At::function;
  point.function = function;
  return observation(heard, point, Kind::function, state);
}

std::vector<Heard> match_symptoms(const Knowledge& knowledge, std::string_view text, const Machine& machine, const board::Setup& state) {
  return Matcher(knowledge, machine, state).match(text);
}

std::vector<LinkShare> links_of(const Knowledge& knowledge, std::string_view symptom) {
  std::vector<LinkShare> out;
  if (!knowledge.entries().base) return out;
  const LinkBase& base = *knowledge.entries().base;
  double all = 0, told = 0;
  for (const Link& link : base.links) all += link.aged + link.recent;
  std::vector<Link> links;
  for (const Symptom& it : knowledge.entries().symptoms)
    if (it.id == symptom) links = it.links;
  for (const Link& link : links) told += link.aged + link.recent;
  for (const Link& link : base.links) {
    const double share = all > 0 ? (link.aged + link.recent) / all : 0;
    double counted = 0;
    for (const Link& it : links)
      if (it.area == link.area && it.cause == link.cause) counted += it.aged + it.recent;
    out.push_back({link.area, link.cause, (counted + base.weight * share) / std::max(told + base.weight, 1e-9), share});
  }
  std::stable_sort(out.begin(), out.end(), [](const LinkShare& a, const LinkShare& b) { return a.share > b.share; });
  return out;
}

}  // namespace halfsplit::knowledge
