// logic/cycles.h - bus cycles found by sending every address through the decode, then slots, sampling times and the healthy reference.
//
// Idea:     a cycle is a class of transfers that select the same parts; of each class the largest cube of addresses is taken, so that selects are static in
//           its slots while the free address bits move. Phases: strobes idle, strobes active, one more for every delay in a row.
// Cost:     the sweep of 65,536 addresses, read and write, runs 512 addresses a pass through the decode cone only.
// Start at: prepare().
#pragma once
#include <string>
#include <vector>

#include "logic/compile.h"
#include "logic/network.h"

namespace halfsplit::logic {

/// Groups of addresses that several parts answer or nobody hears; the health check reads them.
struct Conflict {
  std::string cycle;                 ///< "read"
  std::uint32_t example = 0;         ///< one address of the group
  std::uint64_t addresses = 0;
  std::vector<std::uint32_t> parts;
};

struct Prepared {
  Network network;
  std::vector<CompileNote> notes;
  std::vector<Conflict> conflicts;   ///< reads with several drivers
  std::vector<std::uint32_t> idle_selected;  ///< parts that are selected in the idle half of some transfer
  std::uint64_t swept = 0;           ///< addresses sent through the decode
};

/// How a bus cycle is laid out in slots.
enum class Slots : std::uint8_t {
  phases,    ///< one for each phase: clock and strobes stand still in a slot
  one_value  ///< one for the whole cycle, in which they move: shows why phases are needed (the health check refuses every machine)
};

/// Compiles, finds the cycles, runs the healthy machine.
Prepared prepare(const board::Machine& machine, Slots slots = Slots::phases);

}  // namespace halfsplit::logic
