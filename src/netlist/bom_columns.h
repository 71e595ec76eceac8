// netlist/bom_columns.h - which cell of a parts list says what: the many names of its columns.
#pragma once
#include <array>
#include <optional>

#include "netlist/csv.h"

namespace halfsplit::netlist {

enum class BomColumn { ref, value, footprint, quantity, fitted, not_fitted, description };
inline constexpr std::size_t kBomColumns = 7;

struct BomColumns {
  std::array<std::optional<std::size_t>, kBomColumns> cell;
  std::size_t header_row = 0;
  bool value_from_other = false;  ///< no value column: another one stands in
  bool has(BomColumn column) const { return cell[static_cast<std::size_t>(column)].has_value(); }
};
/// Looks through the first rows for the one with a column of references. Nothing when there is none.
std::optional<BomColumns> find_bom_columns(const CsvTable& table, Deviations& deviations);

}  // namespace halfsplit::netlist
