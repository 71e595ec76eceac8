// report/boards.h - the machines at hand, and what is doubtful in the text of one.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "base/result.h"
#include "board/lint.h"
#include "report/style.h"

namespace halfsplit::report {

struct BoardLine {
  std::string id, title, revision, folder;
  std::size_t parts = 0, nets = 0, functions = 0;
  std::string trouble;  ///< why it can't be read; empty = it can
};
struct Boards { std::vector<BoardLine> boards; };
void print(std::ostream& out, const Boards& boards, const Style& style);
Json json_of(const Boards& boards);

struct FindingLine { board::Finding::Grade grade = board::Finding::Grade::warning; std::string kind, message, hint; };
struct Check {
  std::string id, title, revision;
  std::size_t parts = 0, pins = 0, nets = 0, functions = 0, cycles = 0, faults = 0;
  std::vector<FindingLine> findings;  ///< worst first
  std::size_t count(board::Finding::Grade grade) const;
};
void print(std::ostream& out, const Check& check, const Style& style);
Json json_of(const Check& check);

}  // namespace halfsplit::report
