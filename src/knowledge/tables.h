// knowledge/tables.h - the evidence table and the price list made from the packs.
//
// Owns:     what they need, by value; Entries may go away.
// Start at: make_evidence_table(), make_costs().
#pragma once
#include <memory>

#include "fault/cost.h"
#include "fault/predictor.h"
#include "knowledge/pack.h"

namespace halfsplit::knowledge {

/// A pair that no pack tells of says nothing: hit = false alarm of the kind.
std::unique_ptr<fault::EvidenceTable> make_evidence_table(const Entries& entries);
/// Typical minutes; finding the point comes to each reading of a leg, net or pair.
std::unique_ptr<fault::Costs> make_costs(const Entries& entries);

}  // namespace halfsplit::knowledge
