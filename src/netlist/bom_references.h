// netlist/bom_references.h - the references in one cell of a parts list.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace halfsplit::netlist {

struct CellReferences {
  std::vector<std::string> refs;
  bool ranges = false;  ///< at least one range was spelled out
  bool none = false;    ///< the cell says there is no reference: "-", "n/a"
};
/// Parted by commas and semicolons, else by blanks; with `ranges`, "R1-R4", "R1..R4" and "R1-4" are spelled out, at most 1,000 each.
CellReferences references_in(std::string_view cell, bool ranges = true);

}  // namespace halfsplit::netlist
