#include <algorithm>

#include "base/require.h"
#include "fault/fault.h"

namespace halfsplit::fault {

Hypothesis Hypothesis::with(FaultId more) const {
  HS_REQUIRE(size_ < kMost, "a hypothesis holds at most four faults");
  HS_REQUIRE(!holds(more), "a fault is in a hypothesis once");
  Hypothesis out = *this;
  auto* const last = out.faults_.data() + out.size_;
  auto* const place = std::lower_bound(out.faults_.data(), last, more);
  std::move_backward(place, last, last + 1);
  *place = more;
  ++out.size_;
  return out;
}

bool Hypothesis::holds(FaultId fault) const { return std::binary_search(begin(), end(), fault); }

}  // namespace halfsplit::fault
