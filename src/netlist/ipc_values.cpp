#include "netlist/ipc_values.h"

#include <charconv>
#include <cmath>
#include <optional>

namespace halfsplit::netlist {

namespace {

/// "1234E+1" in the format's own unit.
std::optional<double> value_of(std::string_view text) {
  const std::string digits(text);
  double value = 0;
  const char* begin = digits.data();
  if (!digits.empty() && digits.front() == '+') ++begin;
  const auto [end, error] = std::from_chars(begin, digits.data() + digits.size(), value);
  if (error != std::errc() || end != digits.data() + digits.size() || !std::isfinite(value) || value < 0) return std::nullopt;
  return value;
}

}  // namespace

void IpcValues::read(const Columns& columns, std::size_t line, bool first, Deviations& deviations) {
  if (!first) {
    if (!ready_) return deviations.add(DeviationKind::continuation_alone, line, 1);
    open_.back().net_b = std::string(columns.field(4, 17));
    ready_ = false;
    return;
  }
  const char kind = columns.at(40);
  const auto value = value_of(columns.field(42, 48));
  ready_ = (kind == 'R' || kind == 'C' || kind == 'L') && value.has_value();
  if (!ready_) return deviations.add(DeviationKind::component_unreadable, line, 40);
  constexpr double kPico = 1e-12;
  open_.push_back({std::string(columns.field(66, 79)), std::string(columns.field(4, 17)), {}, kind, kind == 'R' ? *value : *value * kPico, line});
}

void IpcValues::add(IpcNames& names, Assembler& assembler) const {
  for (const Open& open : open_) {
    Element element;
    element.name = open.name;
    element.kind = open.kind;
    element.value = open.value;
    element.a = names.net(open.net_a, open.line, assembler);
    element.b = names.net(open.net_b, open.line, assembler);
    assembler.netlist().elements.push_back(std::move(element));
  }
}

}  // namespace halfsplit::netlist
