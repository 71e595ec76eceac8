// circuit/islands.h - the network cut at rails and ground: which nodes hang together, and which of the pieces feed a rail.
//
// Idea:     what happens in one island reaches another only through the rails, and a rail that a fault moves by less than the spread of its regulator
//           carries nothing on. Islands that feed rails (a regulator, a supply, a fuse between two rails) concern everybody.
// Start at: Islands::of().
#pragma once
#include <cstdint>
#include <vector>

#include "circuit/elaborate.h"

namespace halfsplit::circuit {

struct Islands {
  std::vector<std::uint32_t> of_node;  ///< 0: a rail or ground; islands count from 1
  std::vector<bool> feeds;             ///< by island: carries what a rail lives from
  static Islands of(const Circuit& circuit);
  bool feeding(NodeIndex node) const { return of_node[node] != 0 && feeds[of_node[node]]; }
};

}  // namespace halfsplit::circuit
