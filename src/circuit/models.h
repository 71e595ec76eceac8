// circuit/models.h - from what a part is called and marked to the law of each of its elements; spreads are one standard deviation.
//
// Start at: element_law(), regulator_law(), transistor_law().
#pragma once
#include <optional>
#include <string_view>

#include "board/machine.h"
#include "circuit/device.h"
#include "parts/element.h"

namespace halfsplit::circuit {

inline constexpr double kMostOhms = 1e12;          ///< values beyond it are not believed

/// Law of a two-ended element of a block; nothing when its value is missing or beyond belief.
std::optional<Law> element_law(const board::Part& part, const parts::Block& block);
/// Block of kind transistor: a Bipolar or a Channel.
Law transistor_law(const board::Part& part, const parts::Block& block, const parts::ElectricalTable& table);
/// Block of kind regulator, for its printed volts.
Regulator regulator_law(const board::Part& part, const parts::Block& block, const parts::ElectricalTable& table);
/// Diode of the block's kind (signal, rectifier, schottky, zener, led) and the part's printed number; nothing for a zener without volts.
std::optional<Junction> diode_law(const board::Part& part, const parts::Block& block, const parts::ElectricalTable& table);
/// A pin of a chip of this family, driving nothing.
Stage stage_law(const parts::StageModel& model, double share_of_supply);
/// "5V1", "5.1V", "BZX55C5V1": volts of a zener.
std::optional<double> zener_volts(std::string_view value);
/// Current rating of a fuse from its printed value ("1A", "500mA"), amperes.
std::optional<double> fuse_rating(const board::Part& part);

}  // namespace halfsplit::circuit
