// predict/spreads.h - from readings of the electrical engine to what a meter may show: the meter's own share, mixtures, overload, the beeper.
//
// Source:   accuracy as usual hand-held meters are specified: volts 0.5 % and some millivolts, ohms 0.6 % and 0.15 ohm, current 2 %.
// Start at: shown(), number_outcome().
#pragma once
#include <vector>

#include "circuit/meter.h"
#include "fault/predictor.h"

namespace halfsplit::predict {

struct Spread { double mean = 0, deviation = 0; };
struct Weighed { double weight = 1; Spread spread; };

/// A reading with the meter's own share added; overload is a number far beyond the meter's reach, a floating point reads about 0 and drifts.
Spread shown(const circuit::Reading& reading, observe::Kind kind);
/// Readings of a continuum: each spread wide enough to meet its neighbour.
void widen(std::vector<Weighed>& all);
/// Continuity: beep or no beep. `all` in ohms.
fault::Outcome words_outcome(const std::vector<Weighed>& all);
/// Up to three spreads, in the unit of the kind.
fault::Outcome number_outcome(const std::vector<Weighed>& all, observe::Kind kind);

}  // namespace halfsplit::predict
