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
/// One line each: rails to look at before the machine is left on; zones that stand open, and what that means for who is not `qualified`.
std::vector<std::string> bench_cautions(const observe::History& history, const board::Machine& machine, bool qualified = false);
/// Bias rails that stop the machine only because they are not measured yet: a short look at them may be proposed. Empty while anything else stops it.
std::vector<board::NetId> short_looks(const observe::History& history, const board::Machine& machine);

/// What has to be said to a reading just typed: taken in a zone of mains or a tube, something that has leaked.
std::vector<std::string> cautions_on(const observe::Observation& seen, const board::Machine& machine, bool qualified);
/// To a repair: solvents; what comes before a supply or regulator is connected.
std::vector<std::string> cautions_on(const observe::Repair& repair, const board::Machine& machine);
/// To a change of state: things that are moved with the power off only.
std::vector<std::string> cautions_on(const observe::StateChange& change, const board::Setup& before, const board::Machine& machine);
/// One sentence where the part feeds a rail or is the supply: what comes before it is connected; else empty.
std::string before_connecting(board::PartId part, const board::Machine& machine);
/// Rails at the part that no powered reading within limits stands for since the last repair or change; a part goes in only after them.
std::vector<board::NetId> unproven_rails(board::PartId part, const observe::History& history, const board::Machine& machine);

/// The rail was last measured within its limits, with power on, since the last repair or change.
bool rail_proven(board::NetId rail, const observe::History& history, const board::Machine& machine);

/// What has to be said before this test: zones and parts at its point, chips moved for it; one entry a danger.
std::vector<std::string> cautions_for(const fault::Query& query, const board::Setup& now, const board::Machine& machine);
/// The same as one text; empty = nothing.
std::string caution_for(const fault::Query& query, const board::Setup& now, const board::Machine& machine);
/// False for powered tests in a zone of mains or a picture tube, or with such a zone open, unless `qualified`; for an earthed instrument in a zone of
/// mains, whoever asks; and for powered tests while `stopped`, but for volts of `looks`.
bool may_propose(const fault::Query& query, const board::Machine& machine, bool qualified, bool stopped, const std::vector<board::NetId>& looks = {});
/// Cautions for taking the part in hand: its type's, its zones', static.
std::vector<std::string> handling(board::PartId part, const board::Machine& machine);

}  // namespace halfsplit::app
