// job/job.h - one machine on the bench from arrival to hand-back: every line as typed and as resolved, ticks, and what it was ranked with.
//
// Shape:    some 10 to 200 lines. Lines are the job: options, bench history and outcome are read off them, so that undo is one thing for all.
// Owns:     text only. A History with ids of a machine comes from job/record.h, resolve().
// Start at: Job; store/workshop.h keeps it.
#pragma once
#include <compare>
#include <cstdint>
#include <string>
#include <vector>

#include "job/ending.h"
#include "job/line.h"
#include "job/options.h"

namespace halfsplit::job {

/// Number of a job as people say it: "job 3". 0 = not yet in a workshop.
struct JobId {
  std::int64_t number = 0;
  friend auto operator<=>(JobId, JobId) = default;
};

/// What a ranking rests on; content_hash() of each. A differing board means: resolve again, and list what no longer resolves.
struct Hashes {
  std::uint64_t board = 0, parts = 0, knowledge = 0;
  friend bool operator==(const Hashes&, const Hashes&) = default;
};

/// One step done of a checklist or a proof list.
struct Tick {
  std::string list;  ///< "proof", "replace U14"
  std::string step;
  std::string when;
  friend bool operator==(const Tick&, const Tick&) = default;
};

struct Job {
  JobId id;
  std::string title;     ///< "Home 8 of the school, no picture"
  std::string machine;   ///< id of the machine
  std::string folder;    ///< where its files were found
  std::string revision;  ///< of the machine, as its files say
  std::string opened;    ///< RFC 3339 UTC; empty in cases
  Hashes hashes;
  std::vector<Line> lines;
  std::vector<Tick> ticks;
  std::int64_t version = 0;  ///< counts changes in the workshop; a change that was made elsewhere meanwhile is refused, not overwritten

  Options options() const { return options_of(lines); }
  Ending ending() const { return ending_of(lines); }
};

/// May the line be added now? usage: nothing but notes and `close came-back` goes into a closed job; only a closed one comes back.
Status may_add(const Job& job, const Line& line);

}  // namespace halfsplit::job
