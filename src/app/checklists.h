// app/checklists.h - walking a repair or an erratum step by step; what is ticked is kept with the job.
//
// Errors:   not_found for an erratum or a step that isn't there.
// Start at: checklist().
#pragma once
#include <string>
#include <vector>

#include "app/desk.h"
#include "report/checklist.h"

namespace halfsplit::app {

struct Ticks { std::vector<std::string> done, undone; };  ///< "3", "1-4", "all"
/// `typed`: a repair as `repair` takes it, or the id of an erratum of the machine.
Result<report::Checklist> checklist(Desk& desk, const std::string& typed, const Ticks& ticks);
Result<report::Errata> errata(Desk& desk);
/// What was left out of a checklist that was begun, and what to try again; for the answer to a repair.
std::vector<std::string> reminders(const Sitting& sitting, const observe::Repair& repair);

}  // namespace halfsplit::app
