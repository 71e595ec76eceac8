#include "observe/tail.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "observe/vocabulary.h"

namespace halfsplit::observe {
namespace {

using Words = std::string_view;
constexpr std::array<Words, 34> kConditions = {
    "after", "when", "while", "whenever", "once", "until", "unless", "with", "without", "during", "before", "if", "for", "pressed", "pressing", "tapped", "tapping",
    "flexed", "flexing", "wiggled", "wiggling", "heated", "cooled", "frozen", "freezing", "warmed", "warming", "hot", "cold", "warm", "sometimes", "loaded", "unloaded",
    "idle"};
/// Two words that open a circumstance.
constexpr std::array<std::pair<Words, Words>, 14> kConditionPairs = {{{"under", "load"}, {"no", "load"}, {"at", "start"}, {"at", "startup"}, {"at", "power"}, {"at", "switch"},
    {"at", "reset"}, {"at", "first"}, {"at", "idle"}, {"from", "cold"}, {"from", "new"}, {"in", "reset"}, {"in", "the"}, {"on", "power"}}};
constexpr std::array<Words, 47> kRemarks = {
    "fine",  "ok",     "okay",    "good",   "bad",      "constant", "steady", "stable",   "drifting", "wandering", "jumping", "falling", "rising", "low",
    "high",  "above",  "below",   "to",     "across",   "on",       "between", "from",    "at",       "in",        "of",      "into",    "no",     "not",
    "tolerance", "rated", "rating", "exactly", "again", "both",     "each",   "everywhere", "always", "all",      "dead",    "exact",
    "square", "clean",  "sine",    "irregular", "bursts", "wave",    "noisy"};
constexpr std::array<Words, 15> kStarts = {"starts", "start", "times", "time", "tries", "try", "trials", "boots", "resets", "attempts", "presses", "power ups", "power", "cold", "switch ons"};
struct Instrument { Words word; Words name; };
constexpr std::array kInstruments = {
    Instrument{"scope", "scope"},       Instrument{"oscilloscope", "scope"}, Instrument{"meter", "meter"},     Instrument{"multimeter", "meter"}, Instrument{"dmm", "meter"},
    Instrument{"voltmeter", "meter"},   Instrument{"ohmmeter", "meter"},     Instrument{"probe", "probe"},     Instrument{"analyser", "analyser"}, Instrument{"analyzer", "analyser"},
    Instrument{"counter", "counter"},   Instrument{"tester", "tester"},      Instrument{"finger", "finger"},   Instrument{"camera", "camera"},    Instrument{"eye", "eye"}};
constexpr std::array<Words, 7> kInstrumentBefore = {"by", "on", "with", "using", "via", "per", "from"};
constexpr std::array<Words, 6> kInstrumentAdjectives = {"the", "a", "my", "logic", "thermal", "frequency"};
constexpr std::array<Words, 7> kButs = {"but", "except", "not", "no", "without", "only", "until"};
constexpr std::uint32_t kMostTrials = 100000;

template <class List>
bool in(const List& list, Words word) { return std::find(list.begin(), list.end(), word) != list.end(); }

class Tail {
 public:
  Tail(const Typed& typed, std::size_t i, ParsedValue& out, const std::string& understood) : typed_(typed), i_(i), out_(out), understood_(understood) {}

  Status read() {
    bool behind_separator = false;
    while (i_ < typed_.size()) {
      if (separator()) { behind_separator = true; continue; }
      if (auto share = take_share(); !share) return share.error();
      else if (share.value()) continue;
      if (take_sure() || take_instrument()) continue;
      if (auto cycle = take_cycle(); !cycle) return cycle.error();
      else if (cycle.value()) continue;
      if (condition_at(i_)) { take_condition(); continue; }
      if (auto remark = take_remark(behind_separator); !remark) return remark;
    }
    return contradictions();
  }

 private:
  const Token& token() const { return *typed_.at(i_); }
  bool word(std::size_t i) const { return i < typed_.size() && typed_.at(i)->kind == Token::Kind::word; }
  bool mark(std::size_t i) const { return i < typed_.size() && typed_.at(i)->kind == Token::Kind::mark; }
  bool bare(std::size_t i) const { return typed_.number_at(i) && typed_.at(i)->amount.whole && !typed_.at(i)->amount.has_unit(); }

  bool separator() {
    static constexpr Words kSeparators = ",;()-.:/@\"'";
    if (!mark(i_) || (kSeparators.find(token().low) == Words::npos && token().low != "..")) return false;
    ++i_;
    return true;
  }

  /// Tokens of "3/10", "3 of 10", "3 out of 10" at i; 0 when there is none.
  std::size_t share_length(std::size_t i) const {
    if (!bare(i)) return 0;
    if ((typed_.is(i + 1, "/") || typed_.is(i + 1, "of") || typed_.is(i + 1, "in")) && bare(i + 2)) return 3;
    return typed_.is(i + 1, "out") && typed_.is(i + 2, "of") && bare(i + 3) ? 4 : 0;
  }

  Result<bool> take_share() {
    const std::size_t length = share_length(i_);
    if (length == 0) return false;
    const double seen = typed_.at(i_)->amount.from, trials = typed_.at(i_ + length - 1)->amount.from;
    const std::string text = typed_.slice(i_, i_ + length);
    if (seen > trials || trials < 1 || trials > kMostTrials)
      return usage(fmt::format("{} understood, but '{}' is no share: it was seen at most as often as tried", understood_, text), "type 3/10 for 3 of 10 starts");
    out_.share = Share{static_cast<std::uint32_t>(seen), static_cast<std::uint32_t>(trials)};
    i_ += length;
    while (word(i_) && in(kStarts, token().low)) ++i_;
    return true;
  }

  bool take_sure() {
    if (typed_.is(i_, "!") || typed_.is(i_, "sure") || typed_.is(i_, "certain") || typed_.is(i_, "definitely")) { out_.sure = true; ++i_; return true; }
    if ((typed_.is(i_, "checked") || typed_.is(i_, "read") || typed_.is(i_, "measured")) && typed_.is(i_ + 1, "twice")) { out_.sure = true; i_ += 2; return true; }
    if (typed_.is(i_, "for") && typed_.is(i_ + 1, "sure")) { out_.sure = true; i_ += 2; return true; }
    if (typed_.is(i_, "?")) { add_note("unsure"); ++i_; return true; }
    return false;
  }

  bool take_instrument() {
    std::size_t j = i_;
    if (word(j) && in(kInstrumentBefore, typed_.at(j)->low)) ++j;
    while (word(j) && in(kInstrumentAdjectives, typed_.at(j)->low)) ++j;
    for (const Instrument& instrument : kInstruments)
      if (typed_.is(j, instrument.word)) {
        out_.how = instrument.name;
        i_ = j + 1;
        return true;
      }
    return false;
  }

  /// End of a cycle's name from i on: "fetch", "read U12", "write U5 #2".
  std::size_t name_end(std::size_t i) const {
    while (i < typed_.size() && !ends_phrase(i) && !condition_at(i)) ++i;
    return i;
  }

  /// "in cycle read U12", "during the refresh cycle", "triggered on write".
  Result<bool> take_cycle() {
    constexpr std::size_t kMostWords = 4;
    std::size_t j = i_, name = 0, end = 0, next = 0;
    if (typed_.is(j, "triggered") && (typed_.is(j + 1, "on") || typed_.is(j + 1, "by")) && word(j + 2)) {
      name = j + 2;
      end = next = name_end(name);
    } else {
      if (!typed_.is(j, "in") && !typed_.is(j, "on") && !typed_.is(j, "during") && !typed_.is(j, "at")) return false;
      ++j;
      if (typed_.is(j, "the") || typed_.is(j, "a")) ++j;
      name = j;
      while (j < typed_.size() && j < name + kMostWords && !typed_.is(j, "cycle") && !ends_phrase(j)) ++j;
      if (!typed_.is(j, "cycle")) return false;
      const bool name_behind = j == name;
      if (name_behind) name = j + 1;
      end = name_behind ? name_end(name) : j;
      next = name_behind ? end : j + 1;
      if (end == name) return false;
    }
    if (out_.kind != Kind::probe && out_.kind != Kind::triggered)
      return usage(fmt::format("{} understood, but a bus cycle goes with low, high, pulsing, floating only", understood_), "type: U5.8 low in cycle fetch");
    out_.kind = Kind::triggered;
    out_.cycle = typed_.slice(name, end);
    i_ = next;
    return true;
  }

  bool condition_at(std::size_t i) const {
    if (!word(i)) return false;
    const Words low = typed_.at(i)->low;
    if (out_.kind == Kind::touch && (low == "hot" || low == "cold" || low == "warm")) return false;
    if (in(kConditions, low)) return true;
    for (const auto& [first, second] : kConditionPairs)
      if (low == first && typed_.is(i + 1, second)) return true;
    return starts_with(low, "at power") || starts_with(low, "at switch");
  }

  bool ends_phrase(std::size_t i) const {
    return mark(i) ? std::string_view(",;()").find(typed_.at(i)->low) != Words::npos : share_length(i) > 0 || typed_.is(i, "sure");
  }

  void take_condition() {
    std::size_t j = i_ + 1;
    while (j < typed_.size() && !ends_phrase(j)) ++j;
    const std::string text = typed_.slice(i_, j);
    if (text == "sometimes" && out_.kind == Kind::function) {  // "dead sometimes" comes and goes
      if (out_.value.note.empty() && out_.value.word) add_note(name_of(*out_.value.word));
      out_.value.word = Word::intermittent;
      i_ = j;
      return;
    }
    out_.condition += (out_.condition.empty() ? "" : ", ") + text;
    i_ = j;
  }

  void add_note(const std::string& text) { out_.value.note += (out_.value.note.empty() ? "" : ", ") + text; }

  bool any_wording() const { return out_.kind == Kind::function || out_.kind == Kind::look || out_.kind == Kind::smell || out_.kind == Kind::part_test || out_.kind == Kind::piggyback; }

  Status take_remark(bool behind_separator) {
    if (!behind_separator && !any_wording() && !(word(i_) && in(kRemarks, token().low)))
      return usage(fmt::format("{} understood, but not '{}'", understood_, typed_.slice(i_, typed_.size())),
                   "a remark goes behind a comma, a second reading on a line of its own");
    std::size_t j = i_;
    for (; j < typed_.size() && !(j > i_ && (ends_phrase(j) || condition_at(j))); ++j)
      if (auto other = second_value(j); !other) return other;
    const std::string text = typed_.slice(i_, j);
    if (out_.kind == Kind::part_test && out_.value.word == Word::good && tells_failure(i_, j)) out_.value.word = Word::bad;
    if (out_.kind == Kind::function && out_.value.word == Word::right && takes_back(i_, j))
      return usage(fmt::format("{} understood, but '{}' takes it back", understood_, text), "type what is wrong instead: picture wrong, no colour");
    add_note(text);
    i_ = j;
    return Done{};
  }

  /// A number with a unit, or a word of the same kind with another meaning, is a second reading.
  Status second_value(std::size_t j) const {
    const Error two = usage(fmt::format("{} understood, but '{}' is a second value", understood_, typed_.slice(j, typed_.size())), "one value a line; expected and found: 4.2V, 5V expected");
    if (typed_.number_at(j) && typed_.at(j)->amount.has_unit() && !any_wording()) return two;
    if (out_.value.is_number() || any_wording() || !word(j)) return Done{};
    const auto phrase = longest_phrase(typed_, j);
    if (!phrase || typed_.at(j)->text.size() < 2) return Done{};
    for (const Meaning& meaning : phrase->meanings)
      if (meaning.kind == out_.kind && out_.value.word && meaning.word != *out_.value.word) return two;
    return Done{};
  }

  bool tells_failure(std::size_t i, std::size_t j) const {
    for (; i < j; ++i)
      if (const auto verdict = verdict_at(typed_, i); verdict && !verdict->good) return true;
    return false;
  }

  bool takes_back(std::size_t i, std::size_t j) const {
    for (; i < j; ++i) {
      if (word(i) && in(kButs, typed_.at(i)->low)) return true;
      const auto phrase = longest_phrase(typed_, i);
      if (phrase && std::any_of(phrase->meanings.begin(), phrase->meanings.end(), [](const Meaning& m) { return m.kind == Kind::function && m.word != Word::right; })) return true;
    }
    return false;
  }

  Status contradictions() const {
    if (out_.share.trials > 1 && out_.value.word == Word::intermittent)
      return usage(fmt::format("{} and a share say the same twice", understood_), "type what is seen in those cases: picture dead 3/10 starts");
    return Done{};
  }

  const Typed& typed_;
  std::size_t i_;
  ParsedValue& out_;
  const std::string& understood_;
};

}  // namespace

Status read_tail(const Typed& typed, std::size_t i, ParsedValue& out, const std::string& understood) { return Tail(typed, i, out, understood).read(); }

}  // namespace halfsplit::observe
