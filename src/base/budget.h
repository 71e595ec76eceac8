// base/budget.h - work is limited in counted steps, never in seconds, so that answers do not depend on the machine's speed.
#pragma once
#include <cstdint>

namespace halfsplit {

/// Counts down; when spent the caller answers `budget_spent`, which is a normal answer.
class StepBudget {
 public:
  explicit StepBudget(std::uint64_t steps) : left_(steps) {}
  /// Takes `steps`; false (and empty) when fewer are left.
  bool take(std::uint64_t steps = 1) noexcept {
    if (steps > left_) { left_ = 0; return false; }
    left_ -= steps;
    return true;
  }
  bool spent() const noexcept { return left_ == 0; }
  std::uint64_t left() const noexcept { return left_; }

 private:
  std::uint64_t left_;
};

}  // namespace halfsplit
