// fault/prior.h - prior odds of every fault of a machine; made by knowledge, used by infer and check.
#pragma once
#include <vector>

#include "fault/fault.h"

namespace halfsplit::fault {

/// log odds (against "not there") by FaultId; natural logarithm. Size = Catalogue::size().
struct PriorOdds {
  std::vector<double> log_odds;
  double log_outside = 0;  ///< odds of "something outside the model"
};

}  // namespace halfsplit::fault
