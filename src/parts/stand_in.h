// parts/stand_in.h - parts that stand for what drives a pin on a machine whose connections are not known.
#pragma once
#include "parts/part_type.h"

namespace halfsplit::parts {

/// Their rate class. Such a part has one pin and is named by its value: "U5.20".
inline constexpr char kUnknownDriver[] = "unknown driver";
/// Its types: one that moves on a good machine, one that rests high.
inline constexpr char kStandIn[] = "unknown-driver", kStandInHigh[] = "unknown-driver-high";
inline bool stands_in(const PartType& type) { return type.rate_class == kUnknownDriver; }

}  // namespace halfsplit::parts
