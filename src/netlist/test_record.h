// netlist/test_record.h - one test record of IPC-D-356A (317, 327, 367, 307, 017, 027) by its columns.
//
// Idea:     columns 1-57 by their place; where the coordinates stand elsewhere, they are searched and the fields in front of them shifted along;
//           everything behind them is optional. All numbers stay in the file's units.
// Errors:   a line whose columns can't be trusted: message, column and hint (the reader adds file and line).
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "netlist/columns.h"
#include "netlist/deviation.h"

namespace halfsplit::netlist {

struct TestRecord {
  int code = 0;
  std::string_view net;  ///< as written; empty when blank
  std::string_view ref;
  std::string_view pin;
  bool via = false;
  bool dash = false;
  bool middle = false;
  bool hole = false;
  std::int32_t drill = 0;
  char plating = ' ';                  ///< P, U or blank
  std::optional<std::int32_t> access;  ///< 0 both sides, n side or layer n
  std::optional<std::int32_t> x, y;
  std::int32_t width = 0, height = 0;  ///< height = width for round pads
};

/// Why a line is no record.
struct RecordTrouble {
  std::string message;
  std::size_t column = 1;
  std::string hint;
};

/// Reads one line; the views point into it. Deviations of the record are counted under `line_number`.
std::optional<RecordTrouble> read_test_record(const Columns& line, std::size_t line_number, TestRecord& record, Deviations& deviations);

}  // namespace halfsplit::netlist
