// parts/electrical.h - electrical values of kinds of parts: what a diode drops, a transistor amplifies, a chip draws, an output can drive.
//
// Shape:    four short lists; a part is looked up by its value ("1N4148"), then by its kind. Volts, amperes, ohms; spreads are one standard deviation.
// Owns:     everything by value; read from shared/parts/electrical.toml by the Library. Where the file says nothing the defaults here hold.
// Source:   typical columns of public data sheets; format in docs/parts-format.md.
// Start at: ElectricalTable::diode(), stage().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/document.h"
#include "base/result.h"

namespace halfsplit::parts {

struct DiodeModel {
  std::string kind;                 ///< signal, rectifier, schottky, zener, led
  std::vector<std::string> values;  ///< printed numbers; empty = all of the kind
  double saturation_a = 4e-9, emission = 1.9, series_ohm = 0.6;
  double breakdown_v = 0;           ///< 0: none; a zener without it takes its own value ("5V1")
  double breakdown_ohm = 8;
  double spread_v = 0.015;          ///< of the forward voltage
};
struct TransistorModel {
  std::string kind;                 ///< small, power
  std::vector<std::string> values;
  double saturation_a = 1e-14, gain = 200, reverse_gain = 4;
  double gain_spread = 0.3;         ///< share of the gain
  double spread_v = 0.01;           ///< of the base-emitter voltage
};
struct RegulatorModel {
  std::vector<std::string> types;   ///< ids of part types; empty = all others
  double dropout_v = 2, output_ohm = 0.02, limit_a = 2.0, power_w = 15, quiescent_a = 0.005, spread = 0.015;
};
/// Input and output stage of a logic family, at its nominal supply.
struct StageModel {
  std::string family;               ///< id of families.toml; empty = all others
  double supply_v = 5, on_from_v = 2.0, on_at_v = 4.0;  ///< below the first nothing works, above the second everything
  double pull_up_ohm = 0;           ///< an open bipolar input lifts itself to float_v through this; 0: MOS
  double low_ohm = 25, low_limit_a = 0.06;
  double high_drop_v = 1.4, high_ohm = 120;
  bool high_sinks = false;          ///< the high side also pulls down (CMOS); bipolar ones only source
  bool clamps_up = false;           ///< a diode from the pin to the supply
  double draw_a = 0.008;            ///< of a small chip of this family
  double idle_ohm = 4000;           ///< supply to ground with the power off
};
struct DrawModel {
  std::vector<std::string> types;   ///< ids of part types
  double amps = 0.01;
};
/// An amplifier or comparator among the analogue chips.
struct AmplifierModel {
  std::vector<std::string> types;
  double gain = 1e4, output_ohm = 50, headroom_high_v = 1.5, headroom_low_v = 0.1;
  double offset_v = 0.003;          ///< spread of the input offset
  double bias_share = 0;            ///< closed-loop parts rest at this share of the supply; 0: an open loop
  bool open_collector = false;
};

struct ElectricalTable {
  std::vector<DiodeModel> diodes;
  std::vector<TransistorModel> transistors;
  std::vector<RegulatorModel> regulators;
  std::vector<StageModel> stages;
  std::vector<DrawModel> draws;
  std::vector<AmplifierModel> amplifiers;

  DiodeModel diode(std::string_view kind, std::string_view value) const;
  TransistorModel transistor(std::string_view kind, std::string_view value) const;
  RegulatorModel regulator(std::string_view type) const;
  StageModel stage(std::string_view family) const;
  const DrawModel* draw(std::string_view type) const;            ///< nullptr: by its family
  const AmplifierModel* amplifier(std::string_view type) const;  ///< nullptr: not an amplifier
};

Result<ElectricalTable> read_electrical(const halfsplit::Node& document);

}  // namespace halfsplit::parts
