#include "netlist/csv.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "netlist/clean_text.h"

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kMostCells = 4096, kMostCellBytes = 65536, kMostRows = 500000;
constexpr std::size_t kRowsLookedAt = 10;

/// How often `separator` stands outside quotes in a line.
std::size_t separators_in(std::string_view line, char separator) {
  bool quoted = false;
  std::size_t count = 0;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    else if (c == separator && !quoted) ++count;
  }
  return count;
}

char guess_separator(std::string_view text) {
  static constexpr std::array<char, 3> kCandidates = {',', ';', '\t'};
  char best = ',';
  std::size_t best_rows = 0;
  for (const char candidate : kCandidates) {
    Lines lines(text);
    std::string_view line;
    std::size_t rows = 0, agreed = 0, before = 0;
    while (rows < kRowsLookedAt && lines.next(line)) {
      const std::size_t count = separators_in(line, candidate);
      if (count > 0 && (rows == 0 || count == before)) ++agreed;
      before = count;
      ++rows;
    }
    if (agreed > best_rows) {
      best = candidate;
      best_rows = agreed;
    }
  }
  return best;
}

class Reader {
 public:
  Reader(std::string_view text, CsvTable& table) : text_(text), table_(table) {}

  Status run() {
    while (at_ < text_.size()) {
      if (Status row = read_row(); !row.ok()) return row;
      if (table_.rows.size() > kMostRows) return fail("over 500,000 rows", line_, 1);
    }
    return Done{};
  }

 private:
  Error fail(std::string message, std::size_t line, std::size_t column, std::string hint = {}) const {
    Place place;
    place.file = table_.file;
    place.line = static_cast<std::uint32_t>(line);
    place.column = static_cast<std::uint32_t>(column);
    return bad_input(std::move(message), place, std::move(hint));
  }
  char here() const { return at_ < text_.size() ? text_[at_] : '\n'; }
  bool at_line_end() const { return at_ >= text_.size() || text_[at_] == '\n' || text_[at_] == '\r'; }

  void step() {
    const char c = text_[at_++];
    if (c == '\n' || (c == '\r' && here() != '\n')) {
      ++line_;
      column_ = 1;
    } else if (c != '\r' && (static_cast<unsigned char>(c) & 0xc0u) != 0x80u) {
      ++column_;
    }
  }
  void skip_blanks() {
    while (at_ < text_.size() && (text_[at_] == ' ' || (text_[at_] == '\t' && table_.separator != '\t'))) step();
  }

  Status read_row() {
    std::vector<CsvCell> row;
    bool any = false;
    for (;;) {
      CsvCell cell;
      if (Status read = read_cell(cell); !read.ok()) return read;
      any = any || !cell.text.empty();
      row.push_back(std::move(cell));
      if (row.size() > kMostCells) return fail("over 4,096 cells in one row", line_, column_);
      if (at_line_end()) break;
      step();  // the separator
    }
    if (at_ < text_.size()) {
      const bool pair = text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n';
      step();
      if (pair) step();
    }
    if (any) table_.rows.push_back(std::move(row));
    return Done{};
  }

  Status read_cell(CsvCell& cell) {
    skip_blanks();
    cell.line = static_cast<std::uint32_t>(line_);
    cell.column = static_cast<std::uint32_t>(column_);
    if (here() == '"' && at_ < text_.size()) return read_quoted(cell);
    const std::size_t start = at_;
    while (!at_line_end() && text_[at_] != table_.separator) step();
    if (at_ - start > kMostCellBytes) return fail("a cell of over 65,536 characters", cell.line, cell.column);
    cell.text = std::string(trim(text_.substr(start, at_ - start)));
    return Done{};
  }

  Status read_quoted(CsvCell& cell) {
    step();
    for (;;) {
      if (at_ >= text_.size() || cell.text.size() > kMostCellBytes)
        return fail("the quote is not closed", cell.line, cell.column, "a quote inside a quoted cell is written twice");
      const char c = text_[at_];
      step();
      if (c != '"') {
        cell.text += c;
      } else if (at_ < text_.size() && text_[at_] == '"') {
        cell.text += '"';
        step();
      } else {
        break;
      }
    }
    cell.text = std::string(trim(cell.text));
    skip_blanks();
    if (!at_line_end() && text_[at_] != table_.separator)
      return fail("text after the closing quote", line_, column_, "a quote inside a quoted cell is written twice");
    return Done{};
  }

  std::string_view text_;
  CsvTable& table_;
  std::size_t at_ = 0, line_ = 1, column_ = 1;
};

}  // namespace

Place CsvTable::place(const CsvCell& cell) const {
  Place out;
  out.file = file;
  out.line = cell.line;
  out.column = cell.column;
  return out;
}

Result<CsvTable> read_csv(std::string_view text, const std::string& file, Deviations& deviations) {
  CsvTable table;
  table.file = file;
  table.separator = guess_separator(text);
  if (table.separator != ',') deviations.add(DeviationKind::separator_other, 1, 1);
  if (Status read = Reader(text, table).run(); !read.ok()) return read.error();
  return table;
}

std::string csv_cell(std::string_view text) {
  const bool plain = text.find_first_of(",;\"\r\n\t") == std::string_view::npos && trim(text) == text;
  if (plain) return std::string(text);
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

std::string column_word(std::string_view header) {
  std::string out;
  for (const char c : lower(header))
    if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) out += c;
  return out;
}

}  // namespace halfsplit::netlist
