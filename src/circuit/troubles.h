// circuit/troubles.h - what in a drawing can't be, or can't be predicted, and how far that reaches.
//
// Start at: find_troubles().
#pragma once
#include <vector>

#include "circuit/elaborate.h"

namespace halfsplit::circuit {

/// Fills `known` and adds the troubles of the network as a whole. `blind`: nodes at which something without a model hangs; what a change there would
/// move, up to rails and ground, is not known.
void find_troubles(Circuit& circuit, const std::vector<NodeIndex>& blind);

}  // namespace halfsplit::circuit
