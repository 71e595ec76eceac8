// logic/overlay.h - from faults and bench actions to patches of a kernel's lanes.
#pragma once
#include "logic/activity.h"
#include "logic/kernel.h"

namespace halfsplit::logic {

/// Adds one hypothesis to the lanes in `mask`. Returns false when a fault has no effect this engine knows (the lanes then stay healthy).
template <class V>
bool apply(Kernel<V>& kernel, const Network& network, const Overlay& overlay, const V& mask);

}  // namespace halfsplit::logic
