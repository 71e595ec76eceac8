#include "netlist/bom.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <map>

#include "base/text.h"
#include "netlist/bom_columns.h"
#include "netlist/bom_references.h"
#include "netlist/clean_text.h"
#include "netlist/csv.h"

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kMostEntries = 50000;

std::optional<bool> yes_or_no(std::string_view text) {
  const std::string word = lower(trim(text));
  for (const std::string_view yes : {"yes", "y", "true", "1", "x", "fitted", "fit", "populate", "populated"})
    if (word == yes) return true;
  for (const std::string_view no : {"no", "n", "false", "0", "dnp", "dnf", "not fitted", "not populated", "-", "do not fit", "do not populate"})
    if (word == no) return false;
  return std::nullopt;
}

/// A value that says in place of a value that the part is left off.
bool value_says_no(std::string_view value) {
  const std::string word = lower(trim(value));
  for (const std::string_view no : {"dnp", "dnf", "nc", "n/c", "not fitted", "not populated", "do not fit", "do not populate", "unpopulated"})
    if (word == no) return true;
  return false;
}

class Reader {
 public:
  Reader(const CsvTable& table, Deviations& deviations) : table_(table), deviations_(deviations) {}

  Result<Bom> run() {
    const auto columns = find_bom_columns(table_, deviations_);
    if (!columns) return no_references();
    columns_ = *columns;
    const std::size_t width = table_.rows[columns_.header_row].size();
    for (std::size_t i = columns_.header_row + 1; i < table_.rows.size(); ++i) {
      read_row(table_.rows[i], width);
      if (bom_.entries.size() > kMostEntries) return bad_input("over 50,000 references", table_.place(table_.rows[i].front()));
    }
    if (columns_.value_from_other)
      bom_.notes.push_back(fmt::format("the parts list has no column of values; column {} stands in", in_quotes(header(BomColumn::value))));
    bom_.file = table_.file;
    bom_.deviations = deviations_.list();
    return std::move(bom_);
  }

 private:
  Error no_references() const {
    Place place{table_.file, 0, 0};
    std::string seen;
    if (!table_.rows.empty()) {
      place = table_.place(table_.rows.front().front());
      std::vector<std::string> names;
      for (const CsvCell& cell : table_.rows.front())
        if (names.size() < 8) names.push_back(in_quotes(cell.text));
      seen = ": the first row says " + join(names, ", ");
    }
    return bad_input("no column of references" + seen, place, "name the columns Ref, Value, Footprint, Fitted (Designator, Reference and the like also do)");
  }

  std::string header(BomColumn column) const { return table_.rows[columns_.header_row][*columns_.cell[static_cast<std::size_t>(column)]].text; }
  const CsvCell* cell(const std::vector<CsvCell>& row, BomColumn column) const {
    const auto index = columns_.cell[static_cast<std::size_t>(column)];
    return index && *index < row.size() ? &row[*index] : nullptr;
  }
  std::string text(const std::vector<CsvCell>& row, BomColumn column) const {
    const CsvCell* found = cell(row, column);
    return found == nullptr ? std::string() : found->text;
  }

  void read_row(const std::vector<CsvCell>& row, std::size_t width) {
    const CsvCell& start = row.front();
    if (row.size() < width) deviations_.add(DeviationKind::row_short, start.line, 1);
    if (row.size() > width) deviations_.add(DeviationKind::row_long, start.line, 1);
    BomEntry entry;
    entry.value = text(row, BomColumn::value);
    entry.footprint = text(row, BomColumn::footprint);
    entry.description = text(row, BomColumn::description);
    const CsvCell* refs = cell(row, BomColumn::ref);
    entry.place = table_.place(refs == nullptr ? start : *refs);
    const CellReferences found = refs == nullptr ? CellReferences{{}, false, true} : references_of(row, refs->text);
    if (found.ranges) deviations_.add(DeviationKind::reference_range, start.line, start.column);
    if (found.none) return add_extra(row, std::move(entry));
    entry.fitted = fitted(row, entry);
    compare_quantity(row, found.refs.size());
    for (const std::string& ref : found.refs) add_entry(entry, ref);
  }

  /// "J1-2" with a quantity of one is one part, not a range.
  CellReferences references_of(const std::vector<CsvCell>& row, std::string_view text) const {
    CellReferences found = references_in(text, true);
    if (!found.ranges) return found;
    CellReferences unspelled = references_in(text, false);
    const auto said = quantity(row);
    return said && *said == unspelled.refs.size() && *said != found.refs.size() ? unspelled : found;
  }

  std::optional<std::size_t> quantity(const std::vector<CsvCell>& row) const {
    const std::string said = text(row, BomColumn::quantity);
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(said.data(), said.data() + said.size(), number);
    return error == std::errc() && end == said.data() + said.size() ? std::optional(number) : std::nullopt;
  }

  void add_extra(const std::vector<CsvCell>& row, BomEntry entry) {
    deviations_.add(DeviationKind::row_without_reference, row.front().line, row.front().column);
    bom_.extras.push_back({std::move(entry.value), std::move(entry.footprint), std::move(entry.description), std::move(entry.place)});
  }

  void add_entry(const BomEntry& like, const std::string& ref) {
    if (!bom_.by_ref.emplace(ref, bom_.entries.size()).second)
      return deviations_.add(DeviationKind::reference_repeated, like.place.line, like.place.column);
    bom_.entries.push_back(like);
    bom_.entries.back().ref = ref;
  }

  bool fitted(const std::vector<CsvCell>& row, const BomEntry& entry) {
    bool is_fitted = true;
    for (const BomColumn column : {BomColumn::fitted, BomColumn::not_fitted}) {
      const CsvCell* said = cell(row, column);
      if (said == nullptr || said->text.empty()) continue;
      const auto answer = yes_or_no(said->text);
      // a column DNP that says "DNP" means yes
      const bool marks = column == BomColumn::not_fitted && value_says_no(said->text);
      if (marks) is_fitted = false;
      else if (!answer) deviations_.add(DeviationKind::fitted_unreadable, said->line, said->column);
      else is_fitted = column == BomColumn::fitted ? *answer : !*answer;
    }
    if (value_says_no(entry.value)) {
      deviations_.add(DeviationKind::value_says_not_fitted, row.front().line, row.front().column);
      is_fitted = false;
    }
    return is_fitted;
  }

  void compare_quantity(const std::vector<CsvCell>& row, std::size_t refs) {
    const CsvCell* said = cell(row, BomColumn::quantity);
    if (said == nullptr) return;
    if (quantity(row) != refs) deviations_.add(DeviationKind::quantity_disagrees, said->line, said->column);
  }

  const CsvTable& table_;
  Deviations& deviations_;
  BomColumns columns_;
  Bom bom_;
};

}  // namespace

const BomEntry* Bom::find(std::string_view ref) const {
  const auto found = by_ref.find(std::string(ref));
  return found == by_ref.end() ? nullptr : &entries[found->second];
}

Result<Bom> read_bom(std::string_view bytes, const std::string& file) {
  Deviations deviations(file);
  const Result<std::string> text = clean_text(bytes, file, deviations);
  if (!text.ok()) return text.error();
  const Result<CsvTable> table = read_csv(*text, file, deviations);
  if (!table.ok()) return table.error();
  return Reader(*table, deviations).run();
}

namespace {

std::string write_grouped(const std::vector<BomEntry>& entries, const BomStyle& style) {
  std::map<std::tuple<std::string, std::string, bool>, std::vector<std::string>> groups;
  for (const BomEntry& entry : entries) groups[{entry.value, entry.footprint, entry.fitted}].push_back(entry.ref);
  std::string out = style.odd_header ? "Reference(s), Value,Footprint,Qnty,Fitted\n" : "Ref,Value,Footprint,Quantity,Fitted\n";
  bool wrong = style.wrong_quantity;
  for (auto& [key, refs] : groups) {
    std::sort(refs.begin(), refs.end(), natural_less);
    const std::size_t quantity = refs.size() + (wrong ? 1 : 0);
    wrong = false;
    out += fmt::format("{},{},{},{},{}\n", csv_cell(join(refs, ", ")), csv_cell(std::get<0>(key)), csv_cell(std::get<1>(key)), quantity,
                       std::get<2>(key) ? "yes" : "no");
  }
  if (style.extra_row) out += "-,socket,,1,yes\n";
  return out;
}

}  // namespace

std::string write_bom(const std::vector<BomEntry>& entries, const BomStyle& style) {
  std::string out;
  if (style.grouped) {
    out = write_grouped(entries, style);
  } else {
    out = style.odd_header ? "Designator, Value,Footprint,Fitted\n" : "Ref,Value,Footprint,Fitted\n";
    for (const BomEntry& entry : entries)
      out += fmt::format("{},{},{},{}\n", csv_cell(entry.ref), csv_cell(entry.value), csv_cell(entry.footprint), entry.fitted ? "yes" : "no");
    if (style.extra_row) out += "-,socket,,yes\n";
  }
  return (style.byte_order_mark ? "\xef\xbb\xbf" : "") + out;
}

}  // namespace halfsplit::netlist
