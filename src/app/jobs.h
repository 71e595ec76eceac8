// app/jobs.h - the use cases about jobs: open, list, show, use, note, and resuming the current one.
//
// Start at: open_job(), resume().
#pragma once
#include <string>
#include <vector>

#include "app/desk.h"
#include "report/jobs.h"

namespace halfsplit::app {

struct NewJob {
  std::string machine;               ///< name or folder
  std::string title, profile;        ///< empty: the machine's title, aged
  std::vector<std::string> tools;
  std::vector<std::string> answers;  ///< "link-jp1=open"
  bool qualified = false;
};
Result<report::Resumed> open_job(Desk& desk, const NewJob& wanted);
Result<report::JobList> list_jobs(Desk& desk);
/// `number`: of the job; empty = the current one.
Result<report::JobShown> show_job(Desk& desk, const std::string& number);
Result<report::Resumed> use_job(Desk& desk, const std::string& number);
/// Where the current job stands: state, foremost suspects, next step. Without a job: how to begin.
Result<report::Resumed> resume(Desk& desk);

/// The job of this number, or the current one; not_found says how to begin one.
Result<job::Job> job_of(Desk& desk, const std::string& number);
report::JobShown shown_job(const job::Job& job);

}  // namespace halfsplit::app
