// report/entry.h - the answer to something typed at the bench: how it was understood, what it means, what it cleared, what comes next.
#pragma once
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/next.h"
#include "report/package.h"

namespace halfsplit::report {

/// One thing that was understood, against what a good machine shows there.
struct MeaningLine {
  enum class Verdict { as_expected, low, high, different, unknown };
  std::string point, kind, value;  ///< "U5.8 (/OE)", "DC volts", "4.31 V"
  Verdict verdict = Verdict::unknown;
  std::string expected;            ///< "4.75 to 5.25 V"; empty = no prediction
  std::string note;                ///< "taken as power off", the circumstance
  bool pictured = false;           ///< stands in a package drawing: told in words only when it is odd
};
struct ShiftLine { std::string site; double before = 0, after = 0; };
struct Entry {
  std::string what;                ///< reading, symptom, state, repair, note, undo: the schema's name
  Slip slip;
  std::vector<std::string> lines;  ///< plain sentences before the rest: "U14 replaced.", "Taken back: ..."
  std::vector<MeaningLine> meanings;
  std::vector<PackagePicture> pictures;  ///< chips that were read round
  std::vector<ShiftLine> cleared;  ///< suspects that lost most, worst hit first
  std::optional<ShiftLine> first;  ///< the foremost suspect now
  std::optional<Next> next;        ///< left out where nothing is to be done
  bool nothing_kept = false;       ///< a question came back instead
};
void print(std::ostream& out, const Entry& entry, const Style& style);
Json json_of(const Entry& entry);

/// "U5.8 (/OE) 4.31 V: low, 4.75 to 5.25 V expected."
std::string sentence(const MeaningLine& meaning);

}  // namespace halfsplit::report
