#include "netlist/bom_columns.h"

#include <algorithm>
#include <string_view>

namespace halfsplit::netlist {

namespace {

struct Names {
  BomColumn column;
  const char* proper;
  std::vector<std::string_view> words;  ///< best first
};

const std::vector<Names>& all_names() {
  static const std::vector<Names> kNames = {
      {BomColumn::ref, "Ref",
       {"ref", "refs", "reference", "references", "designator", "designators", "refdes", "referencedesignator", "referencedesignators",
        "componentreference", "location", "parts", "part"}},
      {BomColumn::value, "Value", {"value", "val", "values", "partvalue", "componentvalue"}},
      {BomColumn::footprint, "Footprint", {"footprint", "package", "pattern", "case", "packagereference", "pcbfootprint"}},
      {BomColumn::quantity, "Quantity", {"quantity", "qty", "qnty", "count", "requestedquantity", "quantityperpcb", "number", "amount"}},
      {BomColumn::fitted, "Fitted", {"fitted", "fit", "populate", "populated", "assembled", "mounted", "place"}},
      {BomColumn::not_fitted, "DNP", {"dnp", "dnf", "notfitted", "donotpopulate", "donotfit", "donotplace", "nopop", "excludefromboard"}},
      {BomColumn::description, "Description", {"description", "desc", "comment", "comments", "notes", "note", "remarks"}},
  };
  return kNames;
}

/// Stand-ins for a value column, best first.
constexpr std::array<std::string_view, 12> kValueStandIns = {
    "comment", "partnumber", "mpn", "manufacturerpartnumber", "mfrpart", "mfgpartnumber", "device", "type", "component", "part", "description", "name"};

std::optional<std::size_t> cell_with(const std::vector<CsvCell>& header, std::string_view word) {
  const auto found = std::find_if(header.begin(), header.end(), [&](const CsvCell& cell) { return column_word(cell.text) == word; });
  return found == header.end() ? std::nullopt : std::optional(static_cast<std::size_t>(found - header.begin()));
}

BomColumns columns_of(const std::vector<CsvCell>& header) {
  BomColumns columns;
  for (const Names& names : all_names()) {
    std::optional<std::size_t>& cell = columns.cell[static_cast<std::size_t>(names.column)];
    for (const std::string_view word : names.words)
      if (!cell) cell = cell_with(header, word);
  }
  std::optional<std::size_t>& value = columns.cell[static_cast<std::size_t>(BomColumn::value)];
  if (value) return columns;
  for (const std::string_view word : kValueStandIns) {
    const auto stand_in = cell_with(header, word);
    if (value || !stand_in || stand_in == columns.cell[static_cast<std::size_t>(BomColumn::ref)]) continue;
    value = stand_in;
    columns.value_from_other = true;
  }
  return columns;
}

}  // namespace

std::optional<BomColumns> find_bom_columns(const CsvTable& table, Deviations& deviations) {
  constexpr std::size_t kRowsLookedAt = 30;
  for (std::size_t row = 0; row < std::min(kRowsLookedAt, table.rows.size()); ++row) {
    const std::vector<CsvCell>& header = table.rows[row];
    BomColumns columns = columns_of(header);
    // a title row can hold the word "part" alone; a header has two columns that are known
    const auto known = std::count_if(columns.cell.begin(), columns.cell.end(), [](const auto& cell) { return cell.has_value(); });
    if (!columns.has(BomColumn::ref) || known < 2) continue;
    columns.header_row = row;
    if (row > 0) deviations.add(DeviationKind::rows_before_header, table.rows.front().front().line, 1, row);
    if (columns.value_from_other || !columns.has(BomColumn::value)) deviations.add(DeviationKind::value_column_missing, header.front().line, 1);
    for (const Names& names : all_names()) {
      const auto cell = columns.cell[static_cast<std::size_t>(names.column)];
      const bool stands_in = names.column == BomColumn::value && columns.value_from_other;
      if (cell && !stands_in && header[*cell].text != names.proper)
        deviations.add(DeviationKind::header_variant, header[*cell].line, header[*cell].column);
    }
    return columns;
  }
  return std::nullopt;
}

}  // namespace halfsplit::netlist
