// job/record.h - events of the bench as text that names pins, nets and functions, and back: a job outlives changes of its machine's files.
//
// Idea:     an id means something on one Machine only; a record says the same by names, losslessly, as one line of JSON (docs/store-format.md).
// Errors:   read_record(): bad_input for what is no record, not_found (with "did you mean") for a name that the machine doesn't have.
// Start at: record_of() when a line has been parsed, resolve() when a job is loaded.
#pragma once
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "board/machine.h"
#include "job/job.h"
#include "observe/history.h"

namespace halfsplit::job {

/// The event by names. `typed` and `when` are left to the line, but for an observation whose wording is only a piece of what the line says.
Record record_of(const observe::Event& event, const board::Machine& machine, std::string_view line_typed = {});
/// The event on this machine; `typed` and `when` come from the line.
Result<observe::Event> read_record(std::string_view value, const board::Machine& machine, const Line& line);

/// A record that means nothing on this machine: to be shown and asked about, never dropped.
struct Lost {
  std::size_t line = 0;    ///< index into the job's lines
  std::size_t record = 0;  ///< index into the line's records
  std::string typed, text;
  Error why;
};
struct Resolved {
  observe::History history;
  std::vector<std::size_t> line_of;  ///< per event of the history: the line it came from
  std::vector<Lost> lost;
};
/// All lines in order. The machine should have the job's amendments and answers applied.
Resolved resolve(const std::vector<Line>& lines, const board::Machine& machine);

}  // namespace halfsplit::job
