// app/safety.h - what can hurt: stops that come first in every answer, cautions of places and parts, what may not be proposed.
//
// Idea:     a stop is read off what was observed since the last repair and stays in every answer until it no longer holds; a reading taken with the power
//           off later does not lift it, since switching on would bring it back. A rail that was dangerous stays a stop through repairs and changes
//           of the board until it has been measured again.
// Source:   rails and limits from the machine's text; hazards from its zones; cautions of parts from their types.
// Start at: stops(), caution_for(), may_propose().
#pragma once
#include <string>
#include <vector>

#include "board/machine.h"
#include "fault/predictor.h"
#include "observe/history.h"

namespace halfsplit::app {

/// Whole sentences, worst first: a rail over its limit, a bias rail missing, smoke or smell, everything hot.
std::vector<std::string> stops(const observe::History& history, const board::Machine& machine);
/// One line each: rails to look at before the machine is left on; zones that stand open.
std::vector<std::string> bench_cautions(const observe::History& history, const board::Machine& machine);

/// What has to be said before this test: zones and parts at its point, chips moved for it. Empty = nothing.
std::string caution_for(const fault::Query& query, const board::Setup& now, const board::Machine& machine);
/// False for powered tests in a zone of mains or a picture tube, or with such a zone open, unless `qualified`; and for powered tests while `stopped`.
bool may_propose(const fault::Query& query, const board::Machine& machine, bool qualified, bool stopped);
/// Cautions for taking the part in hand: its type's, its zones', static.
std::vector<std::string> handling(board::PartId part, const board::Machine& machine);

}  // namespace halfsplit::app
