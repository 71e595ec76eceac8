#include "netlist/net_csv.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <optional>

#include "base/random.h"
#include "base/text.h"
#include "netlist/assemble.h"
#include "netlist/clean_text.h"
#include "netlist/csv.h"
#include "netlist/ipc_names.h"
#include "netlist/names.h"

namespace halfsplit::netlist {

namespace {

enum class Column { net, ref, pin, pin_name, pin_type };
constexpr std::size_t kColumns = 5;

struct ColumnWords {
  const char* proper;
  std::array<std::string_view, 8> words;
};
constexpr std::array<ColumnWords, kColumns> kWords = {{
    {"Net", {"net", "netname", "signal", "signalname", "node"}},
    {"Ref", {"ref", "reference", "designator", "refdes", "part", "component", "referencedesignator"}},
    {"Pin", {"pin", "pinnumber", "pinno", "number", "pad", "pinnum"}},
    {"PinName", {"pinname", "name", "pinfunction", "function"}},
    {"PinType", {"pintype", "type", "electricaltype", "pinelectricaltype"}},
}};

using Found = std::array<std::optional<std::size_t>, kColumns>;

Found find_columns(const std::vector<CsvCell>& header, Deviations& deviations) {
  Found found;
  for (std::size_t cell = 0; cell < header.size(); ++cell) {
    const std::string word = column_word(header[cell].text);
    for (std::size_t column = 0; column < kColumns; ++column) {
      const auto& words = kWords[column].words;
      if (word.empty() || found[column] || std::find(words.begin(), words.end(), word) == words.end()) continue;
      found[column] = cell;
      if (header[cell].text != kWords[column].proper) deviations.add(DeviationKind::header_variant, header[cell].line, header[cell].column);
      break;
    }
  }
  return found;
}

class Reader {
 public:
  Reader(const CsvTable& table, Deviations& deviations) : table_(table), deviations_(deviations), assembler_(deviations) {}

  Result<Netlist> run() {
    if (table_.rows.empty()) return no_columns(Place{table_.file, 0, 0});
    const std::vector<CsvCell>& header = table_.rows.front();
    found_ = find_columns(header, deviations_);
    if (!has(Column::net) || !has(Column::ref) || !has(Column::pin)) return no_columns(table_.place(header.front()));
    for (std::size_t i = 1; i < table_.rows.size(); ++i) read_row(table_.rows[i], header.size());
    if (!errors_.empty()) return errors_.joined();
    if (assembler_.pads() == 0) return bad_input("holds no pin", table_.place(header.front()), "each row below the column names lists one pin");
    assembler_.netlist().format = "net CSV";
    return assembler_.finish(table_.file);
  }

 private:
  Error no_columns(const Place& place) const {
    return bad_input("no columns Net, Ref and Pin in the first row", place, "start the table with: Net,Ref,Pin,PinName,PinType (the last two may be left out)");
  }
  bool has(Column column) const { return found_[static_cast<std::size_t>(column)].has_value(); }
  const CsvCell* cell(const std::vector<CsvCell>& row, Column column) const {
    const auto index = found_[static_cast<std::size_t>(column)];
    return index && *index < row.size() ? &row[*index] : nullptr;
  }
  std::string text(const std::vector<CsvCell>& row, Column column) const {
    const CsvCell* found = cell(row, column);
    return found == nullptr ? std::string() : found->text;
  }

  void read_row(const std::vector<CsvCell>& row, std::size_t columns) {
    const CsvCell& start = row.front();
    if (row.size() < columns) deviations_.add(DeviationKind::row_short, start.line, 1);
    if (row.size() > columns) deviations_.add(DeviationKind::row_long, start.line, 1);
    RawPin pin;
    pin.ref = text(row, Column::ref);
    pin.number = text(row, Column::pin);
    pin.line = start.line;
    if (pin.ref.empty()) return errors_.add(bad_input("no reference in this row", table_.place(start), "a row is: net, reference, pin"));
    if (pin.number.empty()) return errors_.add(bad_input("no pin in this row", table_.place(start), "a row is: net, reference, pin"));
    pin.name = with_bars(text(row, Column::pin_name));
    if (pin.name == "~" || pin.name == pin.number) pin.name.clear();
    read_type(row, pin);
    const std::string net = text(row, Column::net);
    if (!means_no_net(net)) pin.net = assembler_.net(net, net, {}, start.line);
    else deviations_.add(net.empty() ? DeviationKind::unconnected_blank : DeviationKind::unconnected_nc, start.line, start.column);
    assembler_.add(std::move(pin));
  }

  void read_type(const std::vector<CsvCell>& row, RawPin& pin) {
    const CsvCell* type = cell(row, Column::pin_type);
    if (type == nullptr) return;
    std::string_view word = type->text;
    // "output+no_connect": the type, and that the drawing marks it unconnected
    const std::size_t plus = word.find('+');
    if (plus != std::string_view::npos) word = trim(word.substr(0, plus));
    const auto known = pin_type_named(word);
    if (!known) deviations_.add(DeviationKind::pin_type_unknown, type->line, type->column);
    pin.type = known.value_or(PinType::unknown);
  }

  const CsvTable& table_;
  Deviations& deviations_;
  Assembler assembler_;
  Errors errors_;
  Found found_;
};

void write_row(std::string& out, const std::string& net, const Part& part, const Pin& pin) {
  const char* type = pin.type == PinType::unknown ? "" : name_of(pin.type);
  out += fmt::format("{},{},{},{},{}\n", csv_cell(net), csv_cell(part.ref), csv_cell(pin.number), csv_cell(pin.name), type);
}

}  // namespace

Result<Netlist> read_net_csv(std::string_view bytes, const std::string& file) {
  Deviations deviations(file);
  const Result<std::string> text = clean_text(bytes, file, deviations);
  if (!text.ok()) return text.error();
  const Result<CsvTable> table = read_csv(*text, file, deviations);
  if (!table.ok()) return table.error();
  Result<Netlist> netlist = Reader(*table, deviations).run();
  if (netlist.ok()) netlist->hash = content_hash(bytes);
  return netlist;
}

std::string write_net_csv(const Netlist& netlist) {
  std::string out = "Net,Ref,Pin,PinName,PinType\n";
  for (const Net& net : netlist.nets)
    for (const PinAt at : net.pins) write_row(out, net.raw, netlist.part(at.part), netlist.pin(at));
  for (const Part& part : netlist.parts)
    for (const Pin& pin : part.pins)
      if (!pin.net.known()) write_row(out, "", part, pin);
  return out;
}

}  // namespace halfsplit::netlist
