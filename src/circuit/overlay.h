// circuit/overlay.h - from faults and bench actions to a patch of the network: open, short, drift, leak, junction and regulator faults, joints, bridges.
//
// Idea:     what a fault does to a part is a change of its law or of its joints. Faults of a continuum (a drift, a leak, a worn contact) come in three
//           strengths, from the mildest that is called a fault to the strongest; whoever asks mixes the three.
// Start at: overlay(), set_levels().
#pragma once
#include <vector>

#include "board/setup.h"
#include "circuit/elaborate.h"
#include "fault/fault.h"

namespace halfsplit::circuit {

inline constexpr std::size_t kStrengths = 3;  ///< mild, middle, strong

/// What the logic nets do, by NetId.
using Levels = std::vector<Drive>;

struct Condition {
  const board::Setup* setup = nullptr;               ///< nothing: complete, powered
  std::vector<const fault::Fault*> faults;
  const Levels* levels = nullptr;                    ///< nothing: as the circuit was set
};

/// Puts the outputs of all chips at these levels, in the network itself.
void set_levels(Circuit& circuit, const Levels& levels);
/// Takes the supplies away: the machine switched off and unplugged, capacitors empty.
void switch_off(Circuit& circuit);

/// `levels_set`: the levels that the circuit was set to; `powered`: false after switch_off().
Patch overlay(const Circuit& circuit, const Condition& condition, std::size_t strength, const Levels& levels_set, bool powered);

/// Whether its strength makes a difference.
bool has_strengths(const fault::Fault& fault);
/// Whether the engine knows what the fault does to the circuit; false for parts that misbehave in an unlisted way and for what is outside.
bool is_modelled(const fault::Fault& fault);
/// Whether the fault acts on joints, elements or supplies at all (faults of logic act through the levels).
bool acts_on_circuit(const fault::Fault& fault);

}  // namespace halfsplit::circuit
