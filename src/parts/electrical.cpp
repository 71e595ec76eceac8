#include "parts/electrical.h"

#include <algorithm>

#include "base/text.h"
#include "parts/type_file.h"

namespace halfsplit::parts {
namespace {

/// A printed value names a model when one of its words begins with the model's number: "2N3904 TO-92", "1N4148W".
bool names(const std::vector<std::string>& list, std::string_view value) {
  for (const std::string_view word : words(value))
    for (const std::string& each : list)
      if (upper(word).starts_with(upper(each))) return true;
  return false;
}
bool holds(const std::vector<std::string>& list, std::string_view id) { return std::find(list.begin(), list.end(), id) != list.end(); }

class Reader {
 public:
  explicit Reader(const halfsplit::Node& table, Errors& errors) : fields_(table, errors), place_(table.place) {}
  std::string text(std::string_view key) { return fields_.need_text(key); }
  void texts(std::string_view key, std::vector<std::string>& out) { out = fields_.texts(key).value_or(out); }
  void truth(std::string_view key, bool& out) { out = fields_.boolean(key).value_or(out); }
  /// A number above zero; `zero` allows zero too.
  void number(std::string_view key, double& out, bool zero = false) {
    const auto read = fields_.number(key);
    if (!read) return;
    if (*read < 0 || (*read == 0 && !zero) || *read > 1e12) fields_.fail(std::string(key) + (zero ? " must not be below 0" : " must be above 0") + " and not beyond 1e12", place_);
    else out = *read;
  }
  void finish() { fields_.finish(); }

 private:
  Fields fields_;
  Place place_;
};

DiodeModel read_diode(const halfsplit::Node& table, Errors& errors) {
  Reader reader(table, errors);
  DiodeModel out;
  out.kind = reader.text("kind");
  reader.texts("values", out.values);
  reader.number("saturation_a", out.saturation_a);
  reader.number("emission", out.emission);
  reader.number("series_ohm", out.series_ohm);
  reader.number("breakdown_v", out.breakdown_v, true);
  reader.number("breakdown_ohm", out.breakdown_ohm);
  reader.number("spread_v", out.spread_v);
  reader.finish();
  return out;
}
TransistorModel read_transistor(const halfsplit::Node& table, Errors& errors) {
  Reader reader(table, errors);
  TransistorModel out;
  out.kind = reader.text("kind");
  reader.texts("values", out.values);
  reader.number("saturation_a", out.saturation_a);
  reader.number("gain", out.gain);
  reader.number("reverse_gain", out.reverse_gain);
  reader.number("gain_spread", out.gain_spread);
  reader.number("spread_v", out.spread_v);
  reader.finish();
  return out;
}
RegulatorModel read_regulator(const halfsplit::Node& table, Errors& errors) {
  Reader reader(table, errors);
  RegulatorModel out;
  reader.texts("types", out.types);
  reader.number("dropout_v", out.dropout_v);
  reader.number("output_ohm", out.output_ohm);
  reader.number("limit_a", out.limit_a);
  reader.number("power_w", out.power_w);
  reader.number("quiescent_a", out.quiescent_a, true);
  reader.number("spread", out.spread);
  reader.finish();
  return out;
}
StageModel read_stage(const halfsplit::Node& table, Errors& errors) {
  Reader reader(table, errors);
  StageModel out;
  out.family = reader.text("family");
  reader.number("supply_v", out.supply_v);
  reader.number("on_from_v", out.on_from_v);
  reader.number("on_at_v", out.on_at_v);
  reader.number("pull_up_ohm", out.pull_up_ohm, true);
  reader.number("low_ohm", out.low_ohm);
  reader.number("low_limit_a", out.low_limit_a);
  reader.number("high_drop_v", out.high_drop_v, true);
  reader.number("high_ohm", out.high_ohm);
  reader.truth("high_sinks", out.high_sinks);
  reader.truth("clamps_up", out.clamps_up);
  reader.number("draw_a", out.draw_a);
  reader.number("idle_ohm", out.idle_ohm);
  if (out.on_from_v >= out.on_at_v) errors.add(bad_input("on_from_v must be below on_at_v", table.place));
  reader.finish();
  return out;
}
DrawModel read_draw(const halfsplit::Node& table, Errors& errors) {
  Reader reader(table, errors);
  DrawModel out;
  reader.texts("types", out.types);
  reader.number("amps", out.amps);
  reader.finish();
  return out;
}
AmplifierModel read_amplifier(const halfsplit::Node& table, Errors& errors) {
  Reader reader(table, errors);
  AmplifierModel out;
  reader.texts("types", out.types);
  reader.number("gain", out.gain);
  reader.number("output_ohm", out.output_ohm);
  reader.number("headroom_high_v", out.headroom_high_v, true);
  reader.number("headroom_low_v", out.headroom_low_v, true);
  reader.number("offset_v", out.offset_v);
  reader.number("bias_share", out.bias_share, true);
  reader.truth("open_collector", out.open_collector);
  reader.finish();
  return out;
}

template <class Model>
void read_list(Fields& fields, std::string_view key, Model (*read)(const halfsplit::Node&, Errors&), std::vector<Model>& out, Errors& errors) {
  if (const halfsplit::Node* list = fields.array(key))
    for (const halfsplit::Node& table : list->items) out.push_back(read(table, errors));
}

}  // namespace

DiodeModel ElectricalTable::diode(std::string_view kind, std::string_view value) const {
  DiodeModel fallback;
  fallback.kind = std::string(kind);
  for (const DiodeModel& each : diodes)
    if (each.kind == kind && names(each.values, value)) return each;
  for (const DiodeModel& each : diodes)
    if (each.kind == kind && each.values.empty()) return each;
  return fallback;
}
TransistorModel ElectricalTable::transistor(std::string_view kind, std::string_view value) const {
  TransistorModel fallback;
  fallback.kind = std::string(kind);
  for (const TransistorModel& each : transistors)
    if (names(each.values, value)) return each;
  for (const TransistorModel& each : transistors)
    if (each.kind == kind && each.values.empty()) return each;
  return fallback;
}
RegulatorModel ElectricalTable::regulator(std::string_view type) const {
  for (const RegulatorModel& each : regulators)
    if (holds(each.types, type)) return each;
  for (const RegulatorModel& each : regulators)
    if (each.types.empty()) return each;
  return {};
}
StageModel ElectricalTable::stage(std::string_view family) const {
  for (const StageModel& each : stages)
    if (each.family == family) return each;
  return {};
}
const DrawModel* ElectricalTable::draw(std::string_view type) const {
  for (const DrawModel& each : draws)
    if (holds(each.types, type)) return &each;
  return nullptr;
}
const AmplifierModel* ElectricalTable::amplifier(std::string_view type) const {
  for (const AmplifierModel& each : amplifiers)
    if (holds(each.types, type)) return &each;
  return nullptr;
}

Result<ElectricalTable> read_electrical(const halfsplit::Node& document) {
  Errors errors;
  Fields fields(document, errors);
  fields.need_format(1);
  ElectricalTable out;
  read_list(fields, "diode", read_diode, out.diodes, errors);
  read_list(fields, "transistor", read_transistor, out.transistors, errors);
  read_list(fields, "regulator", read_regulator, out.regulators, errors);
  read_list(fields, "stage", read_stage, out.stages, errors);
  read_list(fields, "draw", read_draw, out.draws, errors);
  read_list(fields, "amplifier", read_amplifier, out.amplifiers, errors);
  fields.finish();
  if (!errors.empty()) return errors.joined();
  return out;
}

}  // namespace halfsplit::parts
