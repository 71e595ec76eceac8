// predict/offers.h - the queries worth asking in a set-up: every point and kind of look that the predictor can tell about.
//
// Start at: offers().
#pragma once
#include <vector>

#include "fault/predictor.h"
#include "logic/activity.h"

namespace halfsplit::predict {

/// In the order of the kinds, each in the order of the machine's pins, parts or functions. Kinds that nothing predicts give none.
std::vector<fault::Query> offers(const board::Setup& setup, const std::vector<observe::Kind>& kinds, const logic::Activity& activity);

/// Walks round a chip: every leg on a signal net, with the probe and, triggered, in every bus cycle.
std::vector<std::vector<fault::Query>> walks(const board::Setup& setup, const std::vector<observe::Kind>& kinds, board::PartId part, const logic::Activity& activity);

}  // namespace halfsplit::predict
