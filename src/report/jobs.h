// report/jobs.h - jobs as lists and one by one, and where the current one stands.
#pragma once
#include <cstdint>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/next.h"
#include "report/suspects.h"

namespace halfsplit::report {

struct JobHead {
  std::int64_t number = 0;
  std::string title, machine;
  std::string opened, changed;  ///< RFC 3339 UTC
  std::string outcome;          ///< "open", "proven"...
  bool closed = false, current = false;
  std::size_t lines = 0;
};
struct JobList { std::vector<JobHead> jobs; };
void print(std::ostream& out, const JobList& list, const Style& style);
Json json_of(const JobList& list);

struct JobLine {
  std::string command, typed, when;
  std::vector<std::string> understood;
};
struct JobShown {
  JobHead head;
  std::string profile;
  std::vector<JobLine> lines;
  bool just_closed = false;  ///< a short answer is enough
  std::vector<std::string> owed;  ///< closed as proven: what the proof list still asks for
};
void print(std::ostream& out, const JobShown& shown, const Style& style);
Json json_of(const JobShown& shown);

/// Lines of jobs that hold the words sought, best match first.
struct FoundLine { std::int64_t number = 0; std::string title, machine, outcome, command, typed; };
struct JobsFound { std::vector<FoundLine> lines; };
void print(std::ostream& out, const JobsFound& found, const Style& style);
Json json_of(const JobsFound& found);

/// The way in: no job, or the current one with suspects and next step.
struct Resumed {
  Slip slip;
  std::optional<JobHead> job;
  std::string machine;                 ///< title
  std::vector<std::string> machines;   ///< without a job: what can be opened
  std::vector<std::string> lost;       ///< entries that mean nothing any more
  std::vector<std::string> questions;  ///< open questions of the machine
  std::optional<Suspects> suspects;
  std::optional<Next> next;
};
void print(std::ostream& out, const Resumed& resumed, const Style& style);
Json json_of(const Resumed& resumed);

}  // namespace halfsplit::report
