// predict/keys.h - whether a key works: with the key held its needs show what they show on a healthy machine with the key held, and the machine runs.
//
// Idea:     the healthy values of the activity engine are those of the untouched machine; a held key changes them, so both sides are asked with the
//           key held and compared as a probe sees them.
// Start at: key_looks(), judge_key().
#pragma once
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "board/machine.h"
#include "logic/activity.h"

namespace halfsplit::predict {

struct KeyLooks {
  std::vector<logic::Look> needs;    ///< asked with the key held
  std::optional<logic::Look> runs;   ///< asked with it released: a machine that stands takes no key
};
KeyLooks key_looks(const board::Machine& machine, board::FunctionId function);

/// `seen` and `healthy`: what the needs show, bit sets of logic::Seen; `runs`: the machine as a whole.
std::uint8_t judge_key(std::span<const std::uint8_t> seen, std::span<const std::uint8_t> healthy, std::uint8_t runs);

/// Tells keys that bring in a line of the matrix not tried by an earlier one.
class KeyLines {
 public:
  explicit KeyLines(const board::Machine& machine) : machine_(machine), tried_(machine.nets().size(), false) {}
  bool brings_new(const board::Function& function);

 private:
  board::NetId line_at(board::PinId pin) const;
  bool take(board::NetId net);
  const board::Machine& machine_;
  std::vector<bool> tried_;
};

}  // namespace halfsplit::predict
