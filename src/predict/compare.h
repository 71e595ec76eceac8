// predict/compare.h - a reading that compares: this point against another, or against the same point of a good machine.
//
// Idea:     both predictions are spread into a few values each; the relation is counted over all pairs. "Weaker" means so much weaker that one sees it.
// Start at: comparison_probability().
#pragma once
#include <optional>

#include "fault/predictor.h"

namespace halfsplit::predict {

/// Chance that `here` stands to `there` as told; nothing where one of them is not predicted, or their kinds of value differ. `alike`: nothing sets the
/// two apart but the spread between specimens (twins, or a good machine beside this one).
std::optional<double> comparison_probability(observe::Relative::How how, const fault::Outcome& here, const fault::Outcome& there, bool alike);

/// The prediction where a good machine of the model was read: near what it showed, with a tenth left for specimens that differ.
fault::Outcome as_on_good(const fault::Outcome& predicted, const observe::Value& good);

}  // namespace halfsplit::predict
