// logic/banks.h - the memories that a processor can test: which parts answer together, in which cycles, on which data pins.
//
// Idea:     a memory test writes and reads back, so only what the processor writes as well as reads counts; chips of one bit each that answer in
//           one cycle are one bank.
// Start at: find_banks().
#pragma once
#include <cstdint>
#include <vector>

#include "logic/network.h"

namespace halfsplit::logic {

struct Bank {
  std::uint32_t master = 0;             ///< the processor
  std::vector<std::uint32_t> parts;     ///< memory parts, ascending
  std::vector<Word64> slots;            ///< where their data is taken in, one word each
  std::vector<std::uint32_t> data_pins; ///< of the processor, lowest bit first
};
/// In the order of their first part; a part is in one bank at most.
std::vector<Bank> find_banks(const Network& network);

}  // namespace halfsplit::logic
