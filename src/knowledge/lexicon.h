// knowledge/lexicon.h - the words of the symptom packs made ready for matching: pieces of a line, spelling, phrases.
//
// Owns:     copies of the words; pointers into Entries, which must live longer.
// Start at: Lexicon::pieces(), Lexicon::corrected().
#pragma once
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "knowledge/pack.h"

namespace halfsplit::knowledge {

using Words = std::vector<std::string>;
/// Lower-case words of a text: letters, digits, and - + ' / . within them.
Words plain_words(std::string_view text);

/// One piece of a line: as typed, and its words in the packs' spelling.
struct Piece { std::string typed; Words words; };

class Lexicon {
 public:
  explicit Lexicon(const Entries& entries);
  /// Lower-case words, contractions written out ("won't" = will not).
  Words words_in(std::string_view text) const;
  /// Cut at , ; . and at break words that belong to no phrase; pieces without a word that says something are dropped, unless all are.
  std::vector<Piece> pieces(std::string_view text, const Words& also) const;
  /// Where a condition ("when warm") begins at or behind `from`; words.size() where there is none.
  std::size_t condition_begin(const Words& words, std::size_t from) const;
  /// A word as the packs spell it; `also` are names of the machine. Short words and words with digits are left as they are.
  std::string corrected(const std::string& word, const Words& also) const;
  bool is_filler(const std::string& word) const;
  bool is_negation(const std::string& word) const;

  /// A phrase found in words.
  struct Found { std::size_t first = 0, length = 0; };
  /// The phrase's words one after another; filler words between them may be there or not.
  std::optional<Found> find(const Words& phrase, const Words& words) const;
  struct Phrase { Words words; const Symptom* symptom; };
  const std::vector<Phrase>& phrases() const { return phrases_; }  ///< longest first
  struct Term { Words words; const Subject* subject; const State* state; };
  const std::vector<Term>& terms() const { return terms_; }        ///< longest first

 private:
  bool says_something(const Words& words) const;
  std::vector<bool> breaks_in(const Words& words) const;
  const Filler* filler_ = nullptr;
  std::vector<Phrase> phrases_;
  std::vector<Term> terms_;
  std::map<std::string, int> known_;  ///< word -> how many entries use it
};

}  // namespace halfsplit::knowledge
