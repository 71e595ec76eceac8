#include "job/words.h"

#include <array>
#include <span>

namespace halfsplit::job {
namespace {

using observe::Kind;
using observe::Word;

// In the order of the enumerators; a new enumerator gets its word here (tests count them).
constexpr std::array kKinds = {"probe",     "triggered", "content",  "volts-dc",    "volts-ac", "swing", "ripple", "ohms",
                              "continuity", "diode",    "current",  "frequency",   "duration", "speed", "capacitance", "gain",
                              "touch",     "look",      "smell",    "part-test",   "dump",     "piggyback", "memory-report", "swap", "elsewhere", "function", "count"};
constexpr std::array<const char*, 20> kWords = {"low",   "high", "pulsing",      "floating", "middle", "beep", "no-beep", "overload", "right", "wrong",
                                                "dead",  "weak", "intermittent", "good",     "bad",    "cold", "normal",  "warm",     "hot",
                                                "no-trigger"};
constexpr std::array<const char*, 11> kUnits = {"none", "volts", "amps", "ohms", "hertz", "seconds", "farads", "rpm", "percent", "bytes", "plain"};
constexpr std::array<const char*, 6> kSides = {"leg", "pad", "socket", "far-end", "board", "plug"};
constexpr std::array<const char*, 6> kAts = {"leg", "net", "pair", "part", "function", "machine"};
constexpr std::array<const char*, 6> kHows = {"same", "weaker", "stronger", "half", "twice", "different"};
constexpr std::array<const char*, 7> kActs = {"replaced", "resoldered", "reseated", "cleaned", "rewired", "adjusted", "removed"};
constexpr std::array<const char*, 10> kActions = {"power-off", "pull", "lift", "unplug", "bridge", "hold", "force-low", "force-high", "open", "fit"};

static_assert(static_cast<std::size_t>(Kind::count) + 1 == kKinds.size());
static_assert(static_cast<std::size_t>(Word::absent) + 1 == kWords.size());
static_assert(static_cast<std::size_t>(observe::Unit::plain) + 1 == kUnits.size());
static_assert(static_cast<std::size_t>(observe::Side::plug) + 1 == kSides.size());
static_assert(static_cast<std::size_t>(observe::Point::At::machine) + 1 == kAts.size());
static_assert(static_cast<std::size_t>(observe::Relative::How::different) + 1 == kHows.size());
static_assert(static_cast<std::size_t>(observe::Repair::Act::removed) + 1 == kActs.size());
static_assert(static_cast<std::size_t>(board::Action::Kind::fit) + 1 == kActions.size());

std::span<const char* const> table(Kind) { return kKinds; }
std::span<const char* const> table(Word) { return kWords; }
std::span<const char* const> table(observe::Unit) { return kUnits; }
std::span<const char* const> table(observe::Side) { return kSides; }
std::span<const char* const> table(observe::Point::At) { return kAts; }
std::span<const char* const> table(observe::Relative::How) { return kHows; }
std::span<const char* const> table(observe::Repair::Act) { return kActs; }
std::span<const char* const> table(board::Action::Kind) { return kActions; }

template <class Enum>
const char* word(Enum value) { return table(value)[static_cast<std::size_t>(value)]; }

}  // namespace

const char* word_of(Kind kind) { return word(kind); }
const char* word_of(Word value) { return word(value); }
const char* word_of(observe::Unit unit) { return word(unit); }
const char* word_of(observe::Side side) { return word(side); }
const char* word_of(observe::Point::At at) { return word(at); }
const char* word_of(observe::Relative::How how) { return word(how); }
const char* word_of(observe::Repair::Act act) { return word(act); }
const char* word_of(board::Action::Kind kind) { return word(kind); }

template <class Enum>
std::optional<Enum> named(std::string_view text) {
  const auto all = table(Enum{});
  for (std::size_t i = 0; i < all.size(); ++i)
    if (text == all[i]) return static_cast<Enum>(i);
  return std::nullopt;
}

template <class Enum>
std::vector<std::string> all_words() {
  const auto all = table(Enum{});
  return {all.begin(), all.end()};
}

template std::optional<Kind> named<Kind>(std::string_view);
template std::optional<Word> named<Word>(std::string_view);
template std::optional<observe::Unit> named<observe::Unit>(std::string_view);
template std::optional<observe::Side> named<observe::Side>(std::string_view);
template std::optional<observe::Point::At> named<observe::Point::At>(std::string_view);
template std::optional<observe::Relative::How> named<observe::Relative::How>(std::string_view);
template std::optional<observe::Repair::Act> named<observe::Repair::Act>(std::string_view);
template std::optional<board::Action::Kind> named<board::Action::Kind>(std::string_view);
template std::vector<std::string> all_words<Kind>();
template std::vector<std::string> all_words<Word>();
template std::vector<std::string> all_words<observe::Unit>();
template std::vector<std::string> all_words<observe::Side>();
template std::vector<std::string> all_words<observe::Point::At>();
template std::vector<std::string> all_words<observe::Relative::How>();
template std::vector<std::string> all_words<observe::Repair::Act>();
template std::vector<std::string> all_words<board::Action::Kind>();

}  // namespace halfsplit::job
