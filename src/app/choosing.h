// app/choosing.h - taking in what is settled for a job (want, leave, cannot) and saying what follows from it: what else hangs there, what a loose end
// could short, what a defect that stays can still do.
//
// Errors:   of the line itself, before it is kept.
// Start at: settle(), consequences().
#pragma once
#include <string>
#include <vector>

#include "app/sitting.h"
#include "app/verdicts.h"
#include "app/desk.h"

namespace halfsplit::app {

/// The line as it is to be kept: names checked against the machine. Words behind `cannot` that name no place or act speak of the test proposed now.
Result<std::string> settle(Sitting& sitting, job::LineKind kind, const std::string& typed);
/// What is to be said once the line is kept.
std::vector<std::string> consequences(Sitting& sitting, job::LineKind kind, const std::string& typed);
/// Everything settled so far for this kind, one line each.
std::vector<std::string> settled(const Sitting& sitting, job::LineKind kind);

/// Pins that lie beside this one: the next numbers of its part, and pins within 3 mm where places are known. Not those of the same net.
std::vector<board::PinId> beside(board::PinId pin, const board::Machine& machine);

/// Titles of the functions that something wrong with the part can touch; keys are counted.
std::vector<std::string> functions_through(Sitting& sitting, board::PartId part);

/// What a defect that stays can still do, and which functions to watch.
struct ResidualRisk { std::vector<std::string> can_do, watch; };
ResidualRisk residual_risk(Sitting& sitting, board::PartId part);

/// Enters each as `cannot`, then proposes again.
Result<report::Next> next_without(Desk& desk, const std::vector<std::string>& cannot, std::size_t tests);

}  // namespace halfsplit::app
