#include "report/table.h"

#include <algorithm>
#include <ostream>

#include "base/text.h"

namespace halfsplit::report {
namespace {

constexpr std::size_t kGap = 2, kLeastLast = 20;

/// Cells below each other, the first one on the left edge.
void print_narrow(std::ostream& out, const std::vector<std::string>& cells, Ink ink, const Style& style, std::size_t indent) {
  bool first = true;
  for (const std::string& cell : cells) {
    if (cell.empty()) continue;
    paragraph(out, cell, ink, style, std::string(indent + (first ? 0 : kGap), ' '));
    first = false;
  }
}

}  // namespace

void Table::row(std::vector<std::string> cells, Ink ink) { rows_.push_back({std::move(cells), ink}); }

std::vector<std::size_t> Table::widths() const {
  std::vector<std::size_t> out;
  for (const Row& row : rows_) {
    out.resize(std::max(out.size(), row.cells.size()), 0);
    for (std::size_t i = 0; i < row.cells.size(); ++i) out[i] = std::max(out[i], display_width(row.cells[i]));
  }
  return out;
}

void Table::print(std::ostream& out, const Style& style, std::size_t indent) const {
  const std::vector<std::size_t> wide = widths();
  if (wide.empty()) return;
  std::size_t before_last = indent;
  for (std::size_t i = 0; i + 1 < wide.size(); ++i) before_last += wide[i] == 0 ? 0 : wide[i] + kGap;
  const bool narrow = before_last + std::min(wide.back(), kLeastLast) > style.width;
  for (const Row& row : rows_) {
    if (narrow) {
      print_narrow(out, row.cells, row.ink, style, indent);
      continue;
    }
    std::string head(indent, ' ');
    for (std::size_t i = 0; i + 1 < wide.size(); ++i)
      if (wide[i] > 0) head += padded(i < row.cells.size() ? row.cells[i] : std::string(), wide[i] + kGap);
    const std::string last = row.cells.size() == wide.size() ? row.cells.back() : std::string();
    if (last.empty()) {
      head.erase(head.find_last_not_of(' ') + 1);
      out << inked(head, row.ink, style) << '\n';
      continue;
    }
    paragraph(out, last, row.ink, style, head);
  }
}

}  // namespace halfsplit::report
