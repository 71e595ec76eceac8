// logic/health.h - is the drawing sound? Judged on absolute grounds, since a model's own healthy values can't show that the model is wrong.
//
// Rules:    no two outputs drive one net in one slot; no input floats; every sampled read is driven by exactly one part whose enable stands still, every write heard by one; no
//           memory is deaf; outputs with loads move or are listed; row and column of a dynamic memory differ; every function is good.
// Start at: health().
#pragma once
#include <vector>

#include "board/lint.h"
#include "logic/activity.h"

namespace halfsplit::logic {

/// Findings of the healthy machine, worst first. Kinds: fight, floating-input, undriven-sample, unheard-write, never-selected, same-row-and-column,
/// function-not-good, no-clock, overlap, static-outputs, not-modelled.
std::vector<board::Finding> health(const Activity& activity);

}  // namespace halfsplit::logic
