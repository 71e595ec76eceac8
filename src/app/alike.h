// app/alike.h - past jobs by what was said in them: found by words, and those in which the owner of a like machine said the like.
//
// Start at: jobs_alike(), find_jobs().
#pragma once
#include <string>

#include "app/desk.h"
#include "report/jobs.h"
#include "report/suspects.h"

namespace halfsplit::app {

/// Closed jobs on the same machine in which a symptom line shares at least half of the telling words of a symptom line of this job.
Result<report::Alike> jobs_alike(Desk& desk, const Sitting& sitting);
/// Lines that hold every word.
Result<report::JobsFound> find_jobs(Desk& desk, const std::string& words);

}  // namespace halfsplit::app
