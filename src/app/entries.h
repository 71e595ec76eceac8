// app/entries.h - what a person types at the bench, taken into the current job and answered: what it means, what it cleared, what comes next.
//
// Errors:   usage and not_found of the line itself (nothing is stored then), store trouble.
// Start at: enter().
#pragma once
#include <string>

#include "app/desk.h"
#include "report/entry.h"

namespace halfsplit::app {

/// Reads, stores and answers one line. `about`: the function meant by a symptom that leaves it open.
Result<report::Entry> enter(Desk& desk, job::LineKind kind, const std::string& typed, const std::string& about = {});
/// The same on an open sitting; `workshop` may be nothing (cases).
Result<report::Entry> enter(Sitting& sitting, store::Workshop* workshop, job::LineKind kind, const std::string& typed, const std::string& when, const std::string& about = {});
/// Each reading against a good machine in the same set-up.
std::vector<report::MeaningLine> meanings(Sitting& sitting, const std::vector<const observe::Observation*>& seen);
/// Takes the last line back.
Result<report::Entry> undo(Desk& desk);
/// What is settled so far: functions set aside, defects that stay, what is out of reach.
Result<report::Entry> show_settled(Desk& desk, job::LineKind kind);
/// The state of the bench as it is.
Result<report::Entry> show_state(Desk& desk);

}  // namespace halfsplit::app
