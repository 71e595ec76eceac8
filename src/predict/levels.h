// predict/levels.h - from what the activity engine sees to what a person reads: probe words, volts of a logic net, the words for a function.
//
// Source:   levels of the families in shared/parts/families.toml; the spreads of a meter on live, floating and fought-over lines are those told in
//           repair reports (1.5 to 3 V on a live bus, 0 to 1.6 V on a floating input, 0.8 to 2 V where two outputs fight).
// Start at: words_of(), volts_of().
#pragma once
#include "fault/predictor.h"
#include "logic/activity.h"

namespace halfsplit::predict {

/// Levels of one net, in volts.
struct NetLevels {
  double low_v = 0.2, high_v = 3.6, float_v = 0.8;
  double low_spread_v = 0.12, high_spread_v = 0.55, float_spread_v = 0.6;
  bool rail = false;
  double rail_v = 5, rail_spread_v = 0.1;
};
NetLevels levels_of(const board::Machine& machine, board::NetId net);

/// Uniform over the probe words in the set.
fault::Outcome probe_outcome(std::uint8_t seen);
/// How people call a function in each state.
fault::Outcome function_outcome(std::uint8_t seen);
/// Right or wrong content.
fault::Outcome content_outcome(std::uint8_t seen);
/// DC volts a 10 Mohm meter shows on the net.
fault::Outcome volts_outcome(std::uint8_t seen, const NetLevels& levels);
/// Peak to peak, as an oscilloscope shows it; a level that lies between high and low, or is fought over, moves less.
fault::Outcome swing_outcome(std::uint8_t seen, const NetLevels& levels);
/// The state a reading stands for, where it stands for one: probe words, or volts well inside a band.
std::optional<logic::Seen> seen_in(const observe::Value& value, observe::Kind kind, const NetLevels& levels);

}  // namespace halfsplit::predict
