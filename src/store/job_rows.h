// store/job_rows.h - jobs as rows: reading and writing what belongs to one job. Inside a transaction of the caller.
//
// Errors:   store for rows that say nothing this program knows (a damaged or altered file); not_found for a job that isn't there.
// Start at: read_job(), insert_line().
#pragma once
#include <string>
#include <vector>

#include "job/job.h"
#include "store/database.h"

namespace halfsplit::store {

Result<job::Job> read_job(const Database& database, job::JobId id);
/// Everything but lines and ticks; gives its number.
Result<job::JobId> insert_job(const Database& database, const job::Job& job);
/// The line as the job's number `nr`, its events, repairs and words for the search. `epoch`: repairs before it.
Status insert_line(const Database& database, job::JobId job, std::size_t nr, std::size_t epoch, const job::Line& line);
/// With all that hangs on it.
Status delete_line(const Database& database, job::JobId job, std::size_t nr);
/// Repairs among the lines.
std::size_t repairs_in(const std::vector<job::Line>& lines);
/// One change more, by whoever read `job.version`: store trouble when somebody else changed it since.
Status claim(const Database& database, const job::Job& job);
/// Lines of this kind are found by their words.
bool is_said(job::LineKind kind);
Result<job::Outcome> outcome_in(const Database& database, const std::string& word);
Result<job::Line> line_in(const Database& database, const std::string& kind, std::string typed, std::string when);

}  // namespace halfsplit::store
