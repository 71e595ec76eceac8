// trial/rates.h - failure rates as far off as published ones are: a factor for every class of part, another for every position.
//
// Start at: uncertain_rates().
#pragma once
#include "fault/fault.h"
#include "fault/prior.h"

namespace halfsplit::trial {

struct RateSpread {
  double by_class = 1.0;     ///< deviation of the natural logarithm, one draw a rate class
  double by_position = 0.5;  ///< the same, one draw a part
};
/// What a model holds that was made from other machines than the one on the bench; same seed, same figures.
fault::PriorOdds uncertain_rates(fault::PriorOdds odds, const fault::Catalogue& catalogue, const board::Machine& machine, const RateSpread& spread, std::uint64_t seed);

}  // namespace halfsplit::trial
