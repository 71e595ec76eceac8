// app/amending.h - the board on the bench differs from its drawing: entered, listed, and kept in the machine's file for every later job.
//
// Errors:   a line that means nothing on this machine (nothing is stored then); needs_confirmation before a difference of this one board goes into the file
//           of all of them.
// Start at: amend().
#pragma once
#include <string>

#include "app/desk.h"
#include "report/difference.h"
#include "report/entry.h"

namespace halfsplit::app {

/// Enters the line and answers with what it changes, the new ranking and the next step. `keep`: also into the machine's file, which `sure` allows for
/// differences that are not the drawing's.
Result<report::Entry> amend(Desk& desk, const std::string& typed, bool keep, bool sure);
/// An answer to a question of the machine: amendments by another name.
Result<report::Entry> answer(Desk& desk, const std::string& typed);
/// All amendments in force: those of the machine's file, then those of the job.
Result<report::Amendments> list_amendments(Desk& desk);

}  // namespace halfsplit::app
