// job/case.h - the `.case` text: job log, bug report, regression test and training example in one; the very lines that a person types.
//
// Shape:    header (format, machine, title...), then steps: lines as typed, and `expect` lines between them. docs/case-format.md.
// Errors:   read_case(): up to 20, file:line:column, with "did you mean"; over 8 MiB.
// Start at: read_case(), case_of().
#pragma once
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "job/expectation.h"
#include "job/job.h"

namespace halfsplit::job {

struct Step {
  Place place;
  std::variant<Line, Expectation> what;
  const Line* line() const { return std::get_if<Line>(&what); }
  const Expectation* expectation() const { return std::get_if<Expectation>(&what); }
};

struct Case {
  std::string machine;   ///< id, or folder
  std::string revision;  ///< may be empty
  std::string title;
  std::vector<Step> steps;
};

/// `file` only labels places.
Result<Case> read_case(std::string_view text, const std::string& file);
/// Reads and parses a file; not_found when it can't be opened.
Result<Case> load_case(const std::string& path);
/// Text that read_case() gives the same case for.
std::string write_case(const Case& written);
/// The job's lines without times; nothing is expected yet.
Case case_of(const Job& job);
/// The expected error of a step: set when the next step is `expect error`.
const Expectation* expected_error(const Case& of, std::size_t step);

}  // namespace halfsplit::job
