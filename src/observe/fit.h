// observe/fit.h - does a value make sense at a point in this state of the bench: kind against point, power, and what a meter can show at all.
//
// Errors:   usage with what was understood and how to type the rest.
// Start at: fits(), setup_for().
#pragma once
#include "base/result.h"
#include "observe/parse.h"

namespace halfsplit::observe {

/// Done when the reading can be stored. `state` is the bench as it is.
Status fits(const Point& point, const ParsedValue& value, const board::Setup& state, const board::Machine& machine);
/// Ohms, continuity, diode and capacitance are measured with power off, whatever the state says.
bool needs_power_off(Kind kind) noexcept;
/// Levels, volts, currents, functions and the like exist with power on only.
bool needs_power(Kind kind) noexcept;

}  // namespace halfsplit::observe
