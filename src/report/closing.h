// report/closing.h - how a job ended, what that teaches, and what it changes: this very job's ranking and the rates, before and after.
#pragma once
#include <cstdint>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/jobs.h"

namespace halfsplit::report {

/// A factor on the rate of the packs at one level, before and after.
struct LevelLine {
  std::string level, name;
  double before = 1, after = 1;
  double counted = 0, expected = 0;  ///< with the lesson
};
struct BlameLine {
  std::string place, mode;           ///< "U7", "output-stuck-low"; either may be empty
  std::string title;                 ///< for people
  double count = 0;                  ///< 0..1
  double before = 1, after = 1;      ///< factor on the rate of the place
  std::vector<LevelLine> levels;
};
struct MovedLine {
  std::string site;
  std::size_t rank_before = 0, rank_after = 0;  ///< from 1; 0 = not listed
  double before = 0, after = 0;
};
struct Taught {
  bool withdrawn = false;
  std::string cure;                  ///< the ranking is that of just before this; empty: of the job as it stands
  std::vector<BlameLine> blames;     ///< largest count first
  std::vector<MovedLine> moved;      ///< foremost suspects, as ranked afterwards
};
struct Closing {
  JobShown job;                      ///< as it is, or would be
  std::optional<Taught> taught;      ///< nothing: it teaches nothing
  std::vector<std::string> remarks;
  bool written = false;
};
void print(std::ostream& out, const Closing& closing, const Style& style);
Json json_of(const Closing& closing);

/// A job as the text of a case.
struct CaseText { std::string text; };
void print(std::ostream& out, const CaseText& text, const Style& style);
Json json_of(const CaseText& text);

}  // namespace halfsplit::report
