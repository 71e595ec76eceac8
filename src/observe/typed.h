// observe/typed.h - a typed line as tokens: numbers with their unit, words, marks; odd characters made plain first.
//
// Owns:     Typed owns its text; tokens hold offsets into it.
// Errors:   usage for control characters, broken UTF-8 and lines over kLongestLine bytes.
// Cost:     O(length).
// Start at: Typed::read(); grammar of values in observe/value_reader.h.
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "observe/observation.h"

namespace halfsplit::observe {

constexpr std::size_t kLongestLine = 2000;

/// One line in plain characters: micro, ohm, minus, plus-minus, arrows and the like become ASCII, `\-` becomes `-`, blanks are trimmed.
Result<std::string> clean_line(std::string_view typed);

/// What a unit word says: "mV" = volts times 0.001; "VAC" tells the kind too; "k" alone implies ohms.
struct UnitWord {
  Unit unit = Unit::none;
  double scale = 1;
  bool implied = false;       ///< only a prefix was written, the unit is the usual one of it
  std::optional<Kind> kind;   ///< where the word tells more than the unit
  std::string doubt;          ///< not empty: the word has two meanings; says which and how to type each
  std::string written;        ///< as typed
};
/// Nothing when the word isn't a unit. Case matters only where m and M differ.
std::optional<UnitWord> unit_word(std::string_view word);

/// A number as typed. `from` and `to` differ for "14.xx"; SI once a unit is known.
struct Amount {
  double from = 0, to = 0;
  UnitWord unit;
  bool whole = false;   ///< digits only, no sign, no point
  bool negative = false;
  std::string doubt;    ///< not empty: can't be read in one way; says why and how to type it
  std::string comma;    ///< not empty: "4,925" is decimal or thousands, which the unit decides; holds "4.925"
  bool has_unit() const { return unit.unit != Unit::none; }
  double low_si() const { return from * unit.scale; }
  double high_si() const { return to * unit.scale; }
  const std::string& why_doubtful() const { return doubt.empty() ? unit.doubt : doubt; }
};
/// Gives the amount a unit (or the second half of one: "3.5k" + "ohms") and settles what depends on it; false when the words don't go together.
bool give_unit(Amount& amount, std::string_view word);

struct Token {
  enum class Kind : std::uint8_t { number, word, mark };
  Kind kind = Kind::mark;
  std::string text;   ///< as in the line
  std::string low;    ///< lower case, inner hyphens as blanks ("tri state")
  Amount amount;      ///< kind number
  std::size_t begin = 0, end = 0;
  bool is(std::string_view lower_case) const { return kind != Kind::number && low == lower_case; }
};

class Typed {
 public:
  /// Cleans and cuts a line.
  static Result<Typed> read(std::string_view line);
  /// Cuts a line that is clean already.
  static Typed cut(std::string clean);
  const std::string& text() const { return text_; }
  const std::vector<Token>& tokens() const { return tokens_; }
  std::size_t size() const { return tokens_.size(); }
  const Token* at(std::size_t i) const { return i < tokens_.size() ? &tokens_[i] : nullptr; }
  bool is(std::size_t i, std::string_view lower_case) const { return i < tokens_.size() && tokens_[i].is(lower_case); }
  bool number_at(std::size_t i) const { return i < tokens_.size() && tokens_[i].kind == Token::Kind::number; }
  /// The line from token i to before token j, trimmed.
  std::string slice(std::size_t i, std::size_t j) const;

 private:
  std::string text_;
  std::vector<Token> tokens_;
};

}  // namespace halfsplit::observe
