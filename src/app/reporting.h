// app/reporting.h - the report of the current job: everything entered, told once from complaint to hand-back.
//
// Errors:   no job; a file that is there and was not written by us is not overwritten (needs_confirmation).
// Cost:     one ranking for each repair, of the lines before it.
// Start at: job_report().
#pragma once
#include <string>

#include "app/desk.h"
#include "report/job_report.h"

namespace halfsplit::app {

Result<report::JobReport> job_report(Desk& desk);
/// Writes a report; over an earlier one of ours without asking, over anything else only with `replace`.
Status write_report(const std::string& path, const std::string& text, bool replace);

}  // namespace halfsplit::app
