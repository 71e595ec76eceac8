// report/table.h - columns of text padded by display width; the last column is broken at blanks and keeps its place.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "report/style.h"

namespace halfsplit::report {

class Table {
 public:
  /// Rows may be of different length; missing cells are empty.
  void row(std::vector<std::string> cells, Ink ink = Ink::plain);
  bool empty() const { return rows_.empty(); }
  /// Every row begins with `indent` blanks; two blanks between columns. A table too wide for the style gets one line a cell.
  void print(std::ostream& out, const Style& style, std::size_t indent = 0) const;

 private:
  struct Row { std::vector<std::string> cells; Ink ink; };
  std::vector<std::size_t> widths() const;
  std::vector<Row> rows_;
};

}  // namespace halfsplit::report
