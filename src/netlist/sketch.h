// netlist/sketch.h - a machine without a netlist: chips by their numbers, rails and what nearly every board has in common; the rest is not traced yet.
//
// Idea:     every chip is its pinout (outline.h); ground and rails are joined; what holds on nearly every board is laid in as likely, as amendments
//           that anyone can read and take away (buses.h); every other input hangs on a stand-in, "whatever drives U5.20". Data lines, selects and
//           glue are never guessed.
// Start at: sketch_machine().
#pragma once
#include <string>

#include "board/spec.h"
#include "netlist/chips.h"

namespace halfsplit::netlist {

Result<board::MachineSpec> sketch_machine(const std::vector<Chip>& chips, const parts::Library& library, const std::string& id, const std::string& title);

}  // namespace halfsplit::netlist
