// app/verdicts.h - what follows from everything entered: suspects, why one of them, what to do next.
//
// Start at: suspects(), why(), next().
#pragma once
#include <string>

#include "app/sitting.h"
#include "report/next.h"
#include "report/suspects.h"
#include "report/why.h"

namespace halfsplit::app {

/// Stops, cautions and the state of the bench.
report::Slip slip_of(const Sitting& sitting, bool with_cautions);

Result<report::Suspects> suspects(Sitting& sitting);
/// `part`: a reference, or the name of a suspect; empty = the foremost.
Result<report::Why> why(Sitting& sitting, const std::string& part);
/// At most `tests` proposals.
Result<report::Next> next(Sitting& sitting, std::size_t tests);

/// A single fault in words for a list under its site: "output stuck low at U14.9 (2Y3)".
std::string mode_title(fault::FaultId fault, const fault::Catalogue& catalogue, const board::Machine& machine);

}  // namespace halfsplit::app
