// plan/influence.h - which functions of the machine stop working, or may, when something is wrong at a place.
//
// Idea:     the predictor is asked each function under each single fault; a fault touches a function that works on the good machine and may not work
//           with the fault. Structural reach would say "everything" wherever the processor can be stopped; it stands in only where the model can't
//           tell of the good machine.
// Cost:     functions without a key are looked up; a key is a set-up of its own, one simulation a fault.
// Start at: influence().
#pragma once
#include <vector>

#include "fault/predictor.h"

namespace halfsplit::plan {

/// [fault][function of the list]: true where the function may stop working. `setup` is switched on for the question.
std::vector<std::vector<bool>> influence(const fault::Predictor& predictor, const std::vector<fault::FaultId>& faults, const std::vector<board::FunctionId>& functions,
                                         const board::Setup& setup = {});
/// [part][function of the list]: the same for any fault at the part, its joints and contacts included; a wrong drawing is no fault of the part.
std::vector<std::vector<bool>> influence_of_parts(const fault::Predictor& predictor, const std::vector<board::PartId>& parts, const std::vector<board::FunctionId>& functions);
/// All functions of the machine.
std::vector<board::FunctionId> all_functions(const board::Machine& machine);
/// The question whether a function works, asked with the machine on.
fault::Query trial_of(board::FunctionId function, const board::Setup& setup);
/// [function of the list]: false where the good machine can't do it in this set-up, switched on (a plug apart, a chip out).
std::vector<bool> can_work(const fault::Predictor& predictor, const std::vector<board::FunctionId>& functions, const board::Setup& setup);

}  // namespace halfsplit::plan
