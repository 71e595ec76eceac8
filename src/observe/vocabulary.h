// observe/vocabulary.h - the words people use for what they saw, and what each means at which kind of point.
//
// Shape:    ~300 phrases, fixed; a phrase may mean different things at different points ("dead": a function is dead, a pin floats).
// Cost:     longest phrase first, O(phrases) a call.
// Start at: longest_phrase().
#pragma once
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "observe/observation.h"
#include "observe/typed.h"

namespace halfsplit::observe {

/// Kinds of point as a set, so that a phrase can say where it makes sense.
using Where = std::uint8_t;
constexpr Where kLeg = 1, kNet = 2, kPair = 4, kPart = 8, kFunction = 16, kMachine = 32;
constexpr Where kLine = kLeg | kNet;
constexpr Where kAnywhere = 63;
Where where_of(const Point& point) noexcept;
/// "a pin", "a part", "a function of the machine".
const char* name_of_where(Where where) noexcept;

struct Meaning {
  Kind kind = Kind::probe;
  Word word = Word::low;
  Where where = kAnywhere;
};
struct FoundPhrase {
  std::size_t tokens = 0;          ///< how many tokens it took
  std::string_view text;           ///< as in the vocabulary
  std::vector<Meaning> meanings;   ///< most usual first
  bool keep = false;               ///< the wording tells more than the word: keep it as a note ("bulging")
};
/// The longest phrase that starts at token i; hyphens count as blanks.
std::optional<FoundPhrase> longest_phrase(const Typed& typed, std::size_t i);

/// A word that says which kind of look follows: "looks", "feels", "smells", "tested", "piggyback", "dump", "data".
struct Opening { std::size_t tokens = 0; Kind kind = Kind::look; };
std::optional<Opening> opening_at(const Typed& typed, std::size_t i);
/// After an opening: a good or a bad verdict in plain words ("fine", "failed", "no change").
struct Verdict { std::size_t tokens = 0; bool good = false; };
std::optional<Verdict> verdict_at(const Typed& typed, std::size_t i);

/// Words that fit a kind of point, for hints: "low, high, pulsing, floating".
const char* words_for(Where where) noexcept;
/// All single words of the vocabulary, for "did you mean".
const std::vector<std::string>& spelling_words();

}  // namespace halfsplit::observe
