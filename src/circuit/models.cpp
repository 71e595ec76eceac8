#include "circuit/models.h"

#include <algorithm>
#include <cstdlib>

#include "base/text.h"
#include "circuit/elaborate.h"
#include "circuit/law.h"

namespace halfsplit::circuit {
namespace {

using parts::Template;

constexpr double kResistorSpread = 0.02, kTrimmerSpread = 0.1, kLampSpread = 0.3;
constexpr double kLampOhms = 20, kSmallCoilOhms = 1;
constexpr double kLeakPerFarad = 2e-3;   ///< siemens: 0.01 C V of data sheets at a fifth of the rated current, as aged parts show
constexpr double kFilmLeak = 1e-10, kLeastLeak = 1e-9, kLeakSpread = 0.6;

bool polarised(const board::Part& part) { return part.type->rate_class == "electrolytic" || part.type->rate_class == "tantalum"; }

std::optional<Law> resistor(const board::Part& part, const parts::Block& block) {
  const std::string& kind = part.type->rate_class;
  std::optional<double> ohms = block.number("ohms");
  if (part.value_si) ohms = part.value_si;
  if (!ohms && kind == "lamp or LED") ohms = kLampOhms;
  if (!ohms || *ohms > kMostOhms || *ohms < 0) return std::nullopt;
  const double share = block.number("share").value_or(1);
  const double spread = kind == "trimmer" ? kTrimmerSpread : kind == "lamp or LED" || kind == "loudspeaker" ? kLampSpread : kResistorSpread;
  return Resistor{1 / std::max(*ohms * share, 0.01), spread};
}

Law capacitor(const board::Part& part) {
  if (!polarised(part)) return Resistor{kFilmLeak, kLeakSpread};
  return Resistor{kLeastLeak + kLeakPerFarad * std::clamp(part.value_si.value_or(1e-5), 0.0, 1.0), kLeakSpread};
}

}  // namespace

std::optional<Law> element_law(const board::Part& part, const parts::Block& block) {
  switch (block.kind) {
    case Template::resistor: return resistor(part, block);
    case Template::capacitor: return capacitor(part);
    case Template::inductor: return Resistor{part.type->rate_class == "filter or bead" ? kLinkSiemens : 1 / kSmallCoilOhms, 0.3};
    case Template::contact: return Resistor{block.word("closed").value_or("true") == "true" ? kLinkSiemens : kOpenSiemens, 0.5};
    case Template::crystal: return Resistor{kOpenSiemens, 0};
    default: return std::nullopt;
  }
}

Law transistor_law(const board::Part& part, const parts::Block& block, const parts::ElectricalTable& table) {
  const std::string_view polarity = block.word("polarity").value_or("npn");
  if (polarity == "n-channel" || polarity == "p-channel") {
    Channel out;
    out.sign = polarity == "n-channel" ? 1 : -1;
    return out;
  }
  const bool power = part.type->technology.find("power") != std::string::npos;
  const parts::TransistorModel model = table.transistor(power ? "power" : "small", part.value);
  return Bipolar{model.saturation_a, model.gain, model.reverse_gain, polarity == "npn" ? 1.0 : -1.0, model.spread_v, model.gain_spread};
}

Regulator regulator_law(const board::Part& part, const parts::Block& block, const parts::ElectricalTable& table) {
  const parts::RegulatorModel model = table.regulator(part.type->id);
  const double volts = block.number("volts").value_or(5);
  Regulator out;
  out.sign = volts < 0 ? -1 : 1;
  out.set_v = std::abs(volts);
  out.spread_v = model.spread * out.set_v;
  out.output_ohm = model.output_ohm;
  out.dropout_v = model.dropout_v;
  out.limit_a = model.limit_a;
  out.power_w = model.power_w;
  out.quiescent_a = model.quiescent_a;
  return out;
}

std::optional<Junction> diode_law(const board::Part& part, const parts::Block& block, const parts::ElectricalTable& table) {
  const std::string_view kind = block.word("kind").value_or("signal");
  const parts::DiodeModel model = table.diode(kind, part.value);
  Junction out{model.saturation_a, model.emission * kThermalVolts, model.series_ohm};
  out.spread_v = model.spread_v;
  if (kind == "zener") {
    const auto volts = model.breakdown_v > 0 ? std::optional(model.breakdown_v) : zener_volts(part.value);
    if (!volts) return std::nullopt;
    out.breakdown_v = breakdown_from(*volts, model.breakdown_ohm);
    out.breakdown_ohm = model.breakdown_ohm;
    out.breakdown_spread_v = 0.025 * *volts;
  }
  return out;
}

Stage stage_law(const parts::StageModel& model, double share_of_supply) {
  Stage out;
  out.high_sinks = model.high_sinks;
  out.clamps_up = model.clamps_up;
  out.on_from_v = model.on_from_v;
  out.on_at_v = model.on_at_v;
  out.pull_up_ohm = model.pull_up_ohm;
  out.float_share = share_of_supply;
  out.low_ohm = model.low_ohm;
  out.low_limit_a = model.low_limit_a;
  out.high_drop_v = model.high_drop_v;
  out.high_ohm = model.high_ohm;
  return out;
}

std::optional<double> zener_volts(std::string_view value) {
  for (std::string_view word : words(value)) {
    if (word.starts_with("BZX") || word.starts_with("BZY") || word.starts_with("bzx")) word.remove_prefix(std::min(word.size(), word.find('C') + 1));
    std::string number;
    bool volts = false;
    for (const char c : word) {
      if ((c >= '0' && c <= '9') || c == '.') number += c;
      else if ((c == 'V' || c == 'v') && !number.empty()) number += volts ? "" : ".", volts = true;
      else break;
    }
    const double read = std::strtod(number.c_str(), nullptr);
    if (volts && read >= 1 && read <= 400) return read;
  }
  return std::nullopt;
}

std::optional<double> fuse_rating(const board::Part& part) {
  if (part.type->rate_class != "fuse") return std::nullopt;
  for (const std::string_view word : words(part.value)) {
    const std::string text(word);
    char* end = nullptr;
    const double number = std::strtod(text.c_str(), &end);
    if (end == text.c_str() || number <= 0) continue;
    const std::string unit = upper(end);
    if (unit == "A" || unit.empty()) return number;
    if (unit == "MA") return number / 1000;
  }
  return std::nullopt;
}

}  // namespace halfsplit::circuit
