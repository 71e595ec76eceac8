// observe/history.h - what happened at the bench, in order: observations, repairs, changes of state and board; a repair starts a new epoch.
//
// Owns:     events by value. Undo takes the last event away.
// Start at: History::add(), History::evidence().
#pragma once
#include <string>
#include <variant>
#include <vector>

#include "observe/observation.h"

namespace halfsplit::observe {

/// `done`: the changes in the order typed; `remark`: what was noted behind a colon (screws, colour and hole of a wire).
struct StateChange { board::Setup now; std::string when, typed; std::vector<board::Action> done; std::string remark; };
struct Note { std::string text, when; };
/// The board differs from its drawing. Where the change is ours, readings before it speak of another board.
struct Amended { std::string change; bool ours = false; std::string when, typed; };
using Event = std::variant<Observation, Repair, StateChange, Note, Amended>;

/// The time between two repairs or changes of ours to the board; readings of one epoch speak of one state of the machine. An epoch begins with its
/// repair or change, the first one with nothing.
struct Epoch { std::size_t first = 0, last = 0; };  ///< events [first, last)

class History {
 public:
  const std::vector<Event>& events() const { return events_; }
  void add(Event event);
  /// Takes the last event away; nothing when empty.
  std::optional<Event> undo();
  /// The bench state after the last event.
  board::Setup state() const;
  /// Epochs in order; never empty.
  std::vector<Epoch> epochs() const;
  /// Observations of the last epoch, oldest first.
  std::vector<Observation> evidence() const;
  /// All repairs.
  std::vector<Repair> repairs() const;

 private:
  std::vector<Event> events_;
};

}  // namespace halfsplit::observe
