// oracle/clocked/state.h - what blocks and masters remember between events.
#pragma once
#include "base/random.h"
#include "oracle/clocked/simulation.h"

namespace halfsplit::oracle {

/// Until then the reset line is held low by its capacitor, however it is made.
inline constexpr std::uint64_t kResetTicks = 600;

struct Simulation::BlockState {
  std::vector<bool> q, cells;
  bool clock = false, seen = false;
  std::uint64_t count = 0;
  // memories:
  bool writing = false, row = false, column = false;
  std::uint32_t row_address = 0, column_address = 0, last_address = 0, last_data = 0;
  std::unordered_map<std::uint32_t, std::uint32_t> memory;  ///< what has been written
};

struct Simulation::Master {
  std::uint32_t part = 0;
  const parts::Block* block = nullptr;
  bool processor = true;
  Random random{1};
  enum class Phase : std::uint8_t { idle, setup, active } phase = Phase::idle;
  bool clock = false, clock_known = false, was_reset = false, in_reset = false;
  std::uint64_t last_edge = 0;
  std::size_t position = 0;   ///< in the script
  Transfer now;
};

}  // namespace halfsplit::oracle
