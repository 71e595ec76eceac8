// app/outcome_words.h - a predicted outcome as people read it: "pulsing", "low or high", "4.75 to 5.25 V"; and a reading held against it.
//
// Shape:    a number's range is two deviations to each side, as far as that is likely at all; a rail's limits are those of its tolerance.
// Start at: words_of(), range_of(), compare().
#pragma once
#include <optional>
#include <string>

#include "board/machine.h"
#include "fault/predictor.h"
#include "report/entry.h"

namespace halfsplit::app {

/// Words with at least a fifth of the probability, most probable first: "low or high"; empty = no prediction.
std::string words_of(const fault::Outcome& outcome);

struct Range { double from = 0, to = 0; observe::Unit unit = observe::Unit::none; };
/// From the lowest to the highest likely value; nothing when it is not a number.
std::optional<Range> range_of(const fault::Outcome& outcome);
/// "4.75 to 5.25 V".
std::string shown(const Range& range);
/// A predicted value as a person would type it: numbers rounded to what a meter tells, "under 0.88 V" where the range reaches below nought.
std::string shown(const observe::Value& value);

/// The healthy outcome in words, for people; empty = no prediction.
std::string expectation(const fault::Outcome& healthy);
/// How a reading stands to what a good machine shows. A number is held against the range, a word against the likely words.
report::MeaningLine::Verdict compare(const observe::Value& value, const fault::Outcome& healthy);

/// The net a point touches: of a leg, or the net itself.
std::optional<board::NetId> net_of(const observe::Point& point, const board::Machine& machine);

}  // namespace halfsplit::app
