// circuit/network.h - a circuit as devices between nodes; a patch = what a fault or the bench changes of it.
//
// Shape:    node 0 is ground, 1..nodes-1 the others; devices in a fixed order, patches name them by index.
// Owns:     everything by value; a Network never changes once a Solver was made for it.
// Start at: Network, Patch; elaborate() makes one from a machine.
#pragma once
#include <cstdint>
#include <utility>
#include <vector>

#include "circuit/device.h"

namespace halfsplit::circuit {

using DeviceIndex = std::uint32_t;

/// Every node leaks this much to ground, siemens: a node that nothing holds has a value, and its source resistance tells that it floats.
inline constexpr double kLeakSiemens = 1e-10;

struct Network {
  NodeIndex nodes = 1;
  std::vector<Device> devices;
  std::vector<std::pair<NodeIndex, NodeIndex>> ports;  ///< node pairs without a device where one may come: bridges, clip leads, tips of a meter
  NodeIndex add_node() { return nodes++; }
  DeviceIndex add(Device device) {
    devices.push_back(std::move(device));
    return static_cast<DeviceIndex>(devices.size() - 1);
  }
};

/// A two-ended device without legs.
inline Device between(NodeIndex a, NodeIndex b, Law law) {
  Device out;
  out.law = std::move(law);
  out.node = {a, b};
  return out;
}

struct Patch {
  struct Change { DeviceIndex device = 0; Law law; };
  std::vector<Change> changes;  ///< the last one for a device holds
  std::vector<Device> added;
  bool empty() const { return changes.empty() && added.empty(); }
};

}  // namespace halfsplit::circuit
