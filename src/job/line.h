// job/line.h - one line that a person typed about a job, kept as typed and as it was resolved; everything that happens to a job is such a line.
//
// Shape:    kind = the command word (read, state, repair...), typed = what followed it. One line may hold several events ("U7 L P P P H"), or none.
// Owns:     text only: a resolved event names pins and nets, so that it can be resolved again on a machine that has changed.
// Errors:   usage: control characters, broken UTF-8, over 4096 bytes, empty text; profile, answer, want, leave and close also by their own syntax.
// Start at: make_line(); records are made and read back in job/record.h.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace halfsplit::job {

enum class LineKind {
  profile,  ///< "recent-build": which failure rates count
  answer,   ///< "jp1 closed": an open question of the machine
  amend,    ///< "wire U3.4 U7.2": the board on the bench differs from the file
  tools,    ///< "meter probe": instruments at hand
  symptom,  ///< "no picture but the tone sounds"
  state,    ///< "U4-out lid-off"
  read,     ///< "U5.8 4.31V"
  swap,     ///< "U4 U7 unchanged": which part sits where, and what that changed
  repair,   ///< "U14 replaced"
  note,     ///< a remark, no evidence
  want,     ///< "tape-out no": a function that need not work
  leave,    ///< "C12 bulging but holds": a defect that stays
  cannot,   ///< "U5.8: under the shield": what can't be reached or done at this bench
  close     ///< "proven U14 output-stuck-low: corroded": how it ended
};
/// The command word: "read". Stable: cases and the workshop hold it.
const char* name_of(LineKind kind) noexcept;
std::optional<LineKind> line_kind(std::string_view word);
/// All command words, for "did you mean".
const std::vector<std::string>& line_words();

/// What one event of a line was resolved to.
struct Record {
  std::string kind;   ///< observation, repair, state, note, amendment
  std::string text;   ///< for people and for search: "U5.8 (/OE): DC volts 4.31 V"
  std::string value;  ///< one-line JSON that job/record.h resolves again; docs/store-format.md
  friend bool operator==(const Record&, const Record&) = default;
};

struct Line {
  LineKind kind = LineKind::note;
  std::string typed;            ///< one line of plain text, without the command word
  std::string when;             ///< RFC 3339 UTC, set by the caller; empty in cases
  std::vector<Record> records;  ///< in the order of the line
  friend bool operator==(const Line&, const Line&) = default;
};

inline constexpr std::size_t kLongestLine = 4096;

/// Text as one line: trimmed, tabs and line ends become blanks; usage for what can't be kept as text.
Result<std::string> one_line(std::string_view text, std::string_view what);
/// A line without records.
Result<Line> make_line(LineKind kind, std::string_view typed, std::string when = {});

/// A symptom's words, and the function they are about where a person had to say which: "--about picture it looks odd".
struct Symptom {
  std::string about;  ///< id of the function; empty = the words say it
  std::string words;
};
Symptom symptom_in(const Line& line);

}  // namespace halfsplit::job
