// observe/value_reader.h - the grammar of values: wanted and got, words, comparisons, numbers; then the words behind them.
//
// Idea:     left to right over tokens; the first form that starts here wins, in the order given in value_reader.cpp; what is left is the tail.
// Errors:   usage with what was understood; not_found for a point named in a comparison.
// Start at: read_value().
#pragma once
#include "base/result.h"
#include "observe/parse.h"
#include "observe/typed.h"
#include "observe/vocabulary.h"

namespace halfsplit::observe {

struct ValueContext {
  const board::Machine* machine = nullptr;  ///< needed for "weaker than U38.11"
  Where where = kAnywhere;                  ///< kind of point the value is for; decides between meanings
};
Result<ParsedValue> read_value(const Typed& typed, const ValueContext& context);

/// The forms; each takes from token i and moves it on, or leaves it and returns nothing.
Result<std::optional<ParsedValue>> read_wanted_got(const Typed& typed, std::size_t& i);
/// "bits 3 and 5 fail", "all bits right", "no report", "dump bit 3 differs": kind memory, or dump behind the word dump.
Result<std::optional<ParsedValue>> read_bits(const Typed& typed, std::size_t& i);
Result<std::optional<ParsedValue>> read_comparison(const Typed& typed, std::size_t& i, const ValueContext& context);
/// "dead short", "shorted", "zero resistance": ohms, 0 to 1 at most.
Result<std::optional<ParsedValue>> read_short(const Typed& typed, std::size_t& i);
Result<std::optional<ParsedValue>> read_word(const Typed& typed, std::size_t& i, const ValueContext& context);
Result<std::optional<ParsedValue>> read_number_value(const Typed& typed, std::size_t& i, const ValueContext& context);

}  // namespace halfsplit::observe
