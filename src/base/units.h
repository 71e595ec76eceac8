// base/units.h - physical quantities as types at borders; numeric loops use plain doubles with a suffix (drop_v).
#pragma once
#include <compare>

namespace halfsplit {

/// One number with its unit in the type. SI base units throughout: volts, ohms, amperes, hertz, seconds, farads, henries; Minutes are bench minutes.
template <class Tag>
struct Quantity {
  double value = 0;
  friend constexpr auto operator<=>(Quantity, Quantity) = default;
};
using Volts = Quantity<struct VoltTag>;
using Ohms = Quantity<struct OhmTag>;
using Amps = Quantity<struct AmpTag>;
using Hertz = Quantity<struct HertzTag>;
using Seconds = Quantity<struct SecondTag>;
using Farads = Quantity<struct FaradTag>;
using Minutes = Quantity<struct MinuteTag>;

}  // namespace halfsplit
