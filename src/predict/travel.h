// predict/travel.h - parts carry their faults with them: which faults act where once like parts have changed places or a spare is fitted.
//
// Idea:     a fault of a part is told by (thing, mode, pin of the type); in another place of the same type it is the fault of that name there. What
//           belongs to the place (joints, copper, drawing) stays. So one hypothesis about parts explains readings before and after a swap, and the
//           table of single faults in the untouched machine answers both.
// Cost:     one map over the catalogue, made at the first set-up in which a part has moved; a look-up a fault.
// Start at: Travel::acting().
#pragma once
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "board/swap.h"
#include "fault/fault.h"

namespace halfsplit::predict {

class Travel {
 public:
  Travel(const board::Machine& machine, const fault::Catalogue& catalogue) : machine_(machine), catalogue_(catalogue) {}

  /// The fault that acts in this set-up, with every part in the place where it sits; nothing for a part that is out of the machine.
  std::optional<fault::FaultId> acting(fault::FaultId fault, const board::Setup& setup) const;
  fault::Hypothesis acting(const fault::Hypothesis& hypothesis, const board::Setup& setup) const;
  /// A contact of a socket whose part has been moved: it may be good since. False in set-ups where nothing has moved.
  bool remade(fault::FaultId fault, const board::Setup& setup) const;
  /// The same hypothesis without such contacts.
  fault::Hypothesis without_remade(const fault::Hypothesis& hypothesis, const board::Setup& setup) const;

 private:
  using Key = std::tuple<board::PartId, fault::Site::Kind, std::string, std::size_t, std::uint16_t, std::uint16_t>;
  Key key(const fault::Fault& fault, board::PartId place) const;
  void fill() const;

  const board::Machine& machine_;
  const fault::Catalogue& catalogue_;
  mutable std::map<Key, fault::FaultId> by_key_;
};

}  // namespace halfsplit::predict
