// report/difference.h - what a change of the board would change: "may I leave it out, may I fit this instead", and the list of changes made.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/slip.h"

namespace halfsplit::report {

/// One place that a good machine would show otherwise.
struct DifferenceRow {
  std::string point;   ///< as typed: "U5.8", "picture"
  std::string title;   ///< "U5.8 (/OE)", "picture on the display"
  std::string kind;    ///< "probe", "DC volts", "function"
  std::string before, after;  ///< empty = no prediction
};
struct Difference {
  Slip slip;
  std::string machine;
  std::vector<std::string> changes;   ///< "C8 not fitted"
  std::vector<DifferenceRow> rows;    ///< functions first
  std::vector<std::string> findings;  ///< what would be doubtful then: levels that don't fit, floating inputs, fights
  std::vector<std::string> remarks;   ///< what else is known of the change
  bool empty() const { return rows.empty() && findings.empty(); }
};
/// `rows`: how many are told; the rest is counted.
void print(std::ostream& out, const Difference& difference, const Style& style, std::size_t rows = 12);
Json json_of(const Difference& difference);
/// In a sentence or two, for below an entry; empty when there is none.
std::string summary(const Difference& difference);

struct AmendmentRow {
  std::string when, whose, change, typed;
  bool kept = false;  ///< in the machine's file, not (only) in the job
};
struct Amendments {
  Slip slip;
  std::vector<AmendmentRow> rows;
};
void print(std::ostream& out, const Amendments& amendments, const Style& style);
Json json_of(const Amendments& amendments);

}  // namespace halfsplit::report
