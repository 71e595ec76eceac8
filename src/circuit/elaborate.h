// circuit/elaborate.h - a machine as a network of devices: a node per net, a node per leg behind the small resistance of its joint.
//
// Shape:    about two nodes a pin; supply and ground legs of chips stand for their nets. Parts without a model take their surroundings out of
//           prediction (`known`), up to the rails, and nothing else.
// Owns:     everything by value; the machine must live longer.
// Errors:   what can't be right (no ground, a value of zero or beyond all use, supplies joined by nothing but wire, an island without a way to
//           ground) is a Trouble that names the parts; the rest is predicted all the same.
// Start at: elaborate().
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "board/machine.h"
#include "circuit/network.h"

namespace halfsplit::circuit {

struct Trouble {
  std::string text, hint;
  std::vector<board::PartId> parts;
};

inline constexpr double kJointSiemens = 100;       ///< a good joint or contact: 10 milliohm
inline constexpr double kOpenSiemens = 1e-12;      ///< an open contact, a parted joint
inline constexpr double kLinkSiemens = 50;         ///< a closed switch, a bead

struct Circuit {
  const board::Machine* machine = nullptr;
  Network network;
  std::vector<std::optional<NodeIndex>> net_node;      ///< by NetId
  std::vector<std::optional<NodeIndex>> pin_node;      ///< the leg, by PinId; nothing when connected to nothing
  std::vector<std::optional<DeviceIndex>> joint;       ///< by PinId; nothing for supply and ground legs of chips and legs without a device
  std::vector<std::vector<DeviceIndex>> devices_of;    ///< by PartId, joints left out
  std::vector<std::optional<DeviceIndex>> stage;       ///< by PinId: input and output stage of a logic pin
  std::vector<DeviceIndex> supplies;                   ///< sources from outside, in the order of the nets
  std::vector<NodeIndex> low_node;                     ///< by PartId: what a chip calls ground
  std::vector<bool> known;                             ///< by node: the engine has a model for all that hangs on it
  std::vector<Trouble> troubles;
};

Circuit elaborate(const board::Machine& machine);

/// What a logic pin does when its net is at this level: open outputs only pull their way.
Drive drive_of(parts::PinRole role, Drive level);

}  // namespace halfsplit::circuit
