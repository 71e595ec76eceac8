// netlist/csv.h - comma-separated tables as cells that know their place (RFC 4180; also semicolons and tabs).
//
// Errors:   a quote that is not closed, text after a closing quote, over 4,096 cells a row, 65,536 bytes a cell, 500,000 rows: file:line:column.
#pragma once
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "netlist/deviation.h"

namespace halfsplit::netlist {

struct CsvCell {
  std::string text;  ///< without quotes and without blanks around it
  std::uint32_t line = 1, column = 1;
};
struct CsvTable {
  std::string file;
  char separator = ',';
  std::vector<std::vector<CsvCell>> rows;  ///< rows without any text are left out
  Place place(const CsvCell& cell) const;
};

/// Parts text (UTF-8, see clean_text.h) into cells. The separator is the one that parts the first rows into the most equal number of cells.
Result<CsvTable> read_csv(std::string_view text, const std::string& file, Deviations& deviations);
/// One cell as text: quoted where it must be.
std::string csv_cell(std::string_view text);

/// Column names without case, blanks and signs: " Reference(s)" = "references".
std::string column_word(std::string_view header);

}  // namespace halfsplit::netlist
