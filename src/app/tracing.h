// app/tracing.h - a sketch grows by continuity: what was read with the meter becomes connections, and buses are settled by two of their lanes.
//
// Idea:     readings stay readings; the connections they tell are made anew each time the job is opened, so undo is nothing special.
// Start at: traced_lines(), tracing_of().
#pragma once
#include <string>
#include <vector>

#include "app/sitting.h"
#include "fault/ranking.h"
#include "netlist/buses.h"
#include "observe/history.h"
#include "report/tracing.h"

namespace halfsplit::app {

/// A machine with drivers not traced yet.
bool is_sketch(const board::Machine& machine);
/// Continuity from pin to pin, in the order read.
std::vector<netlist::Contact> contacts_of(const observe::History& history, const board::Machine& machine);
/// Amendments that the readings come to; those that would join two rails are left out.
Result<std::vector<std::string>> traced_lines(const std::string& folder, const observe::History& history, const board::Machine& machine);

/// The buses with their chances, and which two pins to measure next. usage where the machine is no sketch.
Result<report::Tracing> tracing_of(Sitting& sitting);
/// "Data, U1 to U2: settled." for buses that the last line was about.
Result<std::vector<std::string>> tracing_news(Sitting& sitting, const std::vector<observe::Event>& events);
/// How to find what drives the pin of a foremost stand-in; empty where there is none.
std::string trace_advice(Sitting& sitting, const fault::Ranking& ranking);

}  // namespace halfsplit::app
