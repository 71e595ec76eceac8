// predict/reports.h - which bits a memory report names: one test of many bits, for one bank or all memory; and what a dump beside a good one names.
//
// Idea:     the test writes and reads back through the board, so each bit is judged where the processor takes it in; without a processor and a
//           program that starts there is no report. What the knowledge base calls sensitivity is the chance that a test shows the fault at all.
// Shape:    an answer packs two bits of right and wrong a data pin, lowest first, and two for the start at kStartsAt.
// Start at: report_looks(), report_outcome().
#pragma once
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "fault/predictor.h"
#include "logic/activity.h"

namespace halfsplit::predict {

/// Banks of the point: that of a part, all for the machine; empty = no memory that can be tested.
std::vector<std::uint32_t> banks_at(const observe::Point& point, const logic::Activity& activity);
/// Looks of a report: the data pins of each bank in turn, last the start of the processor.
std::vector<logic::Look> report_looks(const std::vector<std::uint32_t>& banks, const logic::Activity& activity);
/// From the answers to these looks; 0 where one of them is missing (the budget was spent).
std::uint64_t pack_report(const std::vector<std::uint32_t>& banks, const logic::Activity& activity, std::span<const std::uint8_t> seen);
/// `shown`: chance that the test shows what is wrong.
fault::Outcome report_outcome(std::uint64_t packed, std::size_t width, double shown);
/// Data pins of the first bank: the width of a report.
std::size_t report_width(const std::vector<std::uint32_t>& banks, const logic::Activity& activity);

/// What a programmer's comparison names for a part with these faults: bits of its data port. `shown` as above.
fault::Outcome dump_outcome(board::PartId part, const fault::Hypothesis& hypothesis, const fault::Catalogue& catalogue, const board::Machine& machine,
                            const fault::EvidenceTable& evidence);

}  // namespace halfsplit::predict
