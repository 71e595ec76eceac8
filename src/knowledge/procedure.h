// knowledge/procedure.h - which checklist belongs to a repair, and which errata to a machine.
//
// Start at: procedure_for(), errata_of().
#pragma once
#include <string>
#include <vector>

#include "knowledge/knowledge.h"

namespace halfsplit::knowledge {

/// The procedure that asks for most and fits all; nullptr where none fits. Of equals the first.
const Procedure* procedure_for(const Knowledge& knowledge, const board::Machine& machine, board::PartId part, const std::string& act);
/// Of this machine and revision, in the order of the packs.
std::vector<const Procedure*> errata_of(const Knowledge& knowledge, const board::Machine& machine);
/// By id; nullptr where there is none for this machine.
const Procedure* erratum_named(const Knowledge& knowledge, const board::Machine& machine, const std::string& id);
/// The text with {part} replaced.
std::string about(std::string text, const std::string& part);

}  // namespace halfsplit::knowledge
