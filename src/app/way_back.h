// app/way_back.h - how the machine goes together again, and what has to be noted before something comes off.
//
// Start at: way_back(), notes_on().
#pragma once
#include <string>
#include <vector>

#include "app/sitting.h"
#include "observe/dismantled.h"
#include "report/way_back.h"

namespace halfsplit::app {

report::WayBack way_back(const Sitting& sitting);
/// What to say to a change of state just made: note this before it comes off; these small parts go back in. `before`: what was apart.
std::vector<std::string> notes_on(const observe::StateChange& change, const std::vector<observe::Taken>& before, const board::Machine& machine);

}  // namespace halfsplit::app
