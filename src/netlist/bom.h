// netlist/bom.h - reader and writer of parts lists (BOM CSV): reference -> value, footprint, fitted or not.
//
// Errors:   no column of references; a table that can't be parted into cells: file:line:column.
// Rules:    columns under their many names; many references a cell, parted by commas, semicolons or blanks, also ranges ("R1-R4"); a row without
//           reference ("-", blank) is kept apart; the quantity is only compared; the first row of a reference counts.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "netlist/deviation.h"

namespace halfsplit::netlist {

struct BomEntry {
  std::string ref, value, footprint, description;
  bool fitted = true;
  Place place;
};
/// A line of the list that names no part of the board: a socket, a heatsink, a screw.
struct BomExtra {
  std::string value, footprint, description;
  Place place;
};
struct Bom {
  std::string file;
  std::vector<BomEntry> entries;  ///< in file order, one per reference
  std::vector<BomExtra> extras;
  std::vector<Deviation> deviations;
  std::vector<std::string> notes;
  const BomEntry* find(std::string_view ref) const;

  std::unordered_map<std::string, std::size_t> by_ref;  ///< reference -> entry
};

Result<Bom> read_bom(std::string_view bytes, const std::string& file);

/// How a written list looks; the defaults are the plain form.
struct BomStyle {
  bool byte_order_mark = false, grouped = false, odd_header = false, wrong_quantity = false, extra_row = false;
};
/// `Ref,Value,Footprint,Fitted` with one row a part, or grouped by value.
std::string write_bom(const std::vector<BomEntry>& entries, const BomStyle& style = {});

}  // namespace halfsplit::netlist
