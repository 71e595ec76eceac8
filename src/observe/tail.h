// observe/tail.h - the words behind a value: circumstance, share, instrument, bus cycle, "sure", remarks.
//
// Errors:   usage for a share over one (11/10), for a second value on the line, for words that were not understood.
// Start at: read_tail().
#pragma once
#include "base/result.h"
#include "observe/parse.h"
#include "observe/typed.h"

namespace halfsplit::observe {

/// Reads everything from token i to the end into `out`. `understood` says what was read so far, for the error text.
/// Without a comma or bracket only known remark words may follow a value; behind a function word any wording is kept.
Status read_tail(const Typed& typed, std::size_t i, ParsedValue& out, const std::string& understood);

}  // namespace halfsplit::observe
