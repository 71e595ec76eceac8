// app/teaching.h - what a job teaches when it is closed: who is to blame, and how much, by what was named, touched and probable just before the cure.
//
// Idea:     repairs without a trial between them are one cure, where a function that was not right worked afterwards, or where they are the last
//           before the end. Each cure teaches one count (knowledge/blame.h). A culprit that is named and shown has it whole; one that the machine or
//           the library doesn't know is kept as words.
// Start at: teaching_of().
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "app/desk.h"

namespace halfsplit::app {

struct Lessons {
  store::Teaching teaching;
  std::vector<std::string> remarks;  ///< what was kept as words
  std::size_t cut = 0;               ///< the job's ranking just before its last cure rests on this many lines
  std::string cure;                  ///< what was done then: "U7 replaced"; empty: nothing
};
/// What the ending would teach; nothing where it teaches nothing. `line` is not yet in the job. `id`: of the lesson, where the job is not of the workshop.
Result<std::optional<Lessons>> teaching_of(Desk& desk, const job::Job& job, const job::Line& line, const std::string& id = {});

}  // namespace halfsplit::app
