// logic/compile.h - from a Machine to a Network: blocks become operations and storage, contacts join nets, passives carry weak levels.
//
// Errors:   a machine always compiles; what could not be modelled is listed in `notes`.
// Start at: compile().
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "logic/network.h"

namespace halfsplit::logic {

struct CompileNote { std::string message; };

/// Everything but cycles and reference values, which logic/cycles.h and logic/kernel.h add.
Network compile(const board::Machine& machine, std::vector<CompileNote>& notes);

}  // namespace halfsplit::logic
