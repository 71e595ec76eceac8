// base/id.h - dense ids 0..count-1, one type per kind of thing, so that a PinId can't be used as a NetId.
#pragma once
#include <compare>
#include <cstdint>
#include <functional>
#include <limits>

namespace halfsplit {

/// Index of a thing in its owner. A default-made id names nothing (`known()` is false).
template <class Tag>
class Id {
 public:
  constexpr Id() = default;
  constexpr explicit Id(std::size_t index) : value_(static_cast<std::uint32_t>(index)) {}
  constexpr std::uint32_t index() const noexcept { return value_; }
  constexpr bool known() const noexcept { return value_ != kNothing; }
  friend constexpr auto operator<=>(Id, Id) = default;

 private:
  static constexpr std::uint32_t kNothing = std::numeric_limits<std::uint32_t>::max();
  std::uint32_t value_ = kNothing;
};

}  // namespace halfsplit

template <class Tag>
struct std::hash<halfsplit::Id<Tag>> {
  std::size_t operator()(halfsplit::Id<Tag> id) const noexcept { return id.index(); }
};
