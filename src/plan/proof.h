// plan/proof.h - what is proven of a machine and what is still owed before it goes back: every function, and whatever was taken apart or mended.
//
// Idea:     a function is proven by the last thing heard of it: that it works, on the complete machine, with no repair, change or refitting behind it
//           that could touch it (plan/influence). A part, pin or plug that was moved or mended is proven by a function through it that was heard to
//           work afterwards, else by a reading at it that is as on a good machine.
// Shape:    functions in the machine's order, then handled things in the order in which they were first handled.
// Cost:     one question of the predictor for all parts handled; keys only where something was heard of them or nothing else hangs on a part.
// Start at: proof_list().
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "fault/predictor.h"
#include "observe/history.h"

namespace halfsplit::plan {

struct ProofOptions {
  std::vector<board::FunctionId> set_aside;
  std::vector<board::PartId> left;  ///< defects that stay
};

/// Something taken apart or mended.
struct Handled {
  enum class What : std::uint8_t { part, pin, cover, bridge, change };
  What what = What::part;
  std::vector<board::PartId> parts;  ///< concerned
  board::PinId pin;                  ///< what pin
  std::string name;                  ///< "J10", "U7.6", "lid", "wire from U3.4 to U7.2"
  std::string done;                  ///< "was unplugged", "replaced", "ours"
  std::string back;                  ///< not empty: still to be put back; "plug J10 in again"
  std::size_t last = 0;              ///< event that handled it last
};

struct ProofItem {
  enum class Standing : std::uint8_t {
    proven,
    partly,   ///< works, but with the machine open or only under a condition: once more at the end
    stale,    ///< worked before `touched`
    failing,  ///< last heard as not working
    owed,     ///< nothing was heard
    aside,    ///< not wanted
    stays     ///< a defect that was left
  };
  std::optional<board::FunctionId> function;
  std::optional<Handled> handled;
  Standing standing = Standing::owed;
  std::optional<std::size_t> by;       ///< event that proves it, or speaks against it
  std::optional<std::size_t> touched;  ///< stale: event that may have undone the proof
  bool now = true;                     ///< can be tried as the bench stands, switched on
  std::vector<board::Action> in_the_way;        ///< where it can't: what has to be put back first
  std::vector<board::FunctionId> through;       ///< handled: functions that would prove it
  bool is_owed() const { return standing == Standing::partly || standing == Standing::stale || standing == Standing::failing || standing == Standing::owed; }
};

struct Proof {
  std::vector<ProofItem> items;
  std::size_t owed() const;
  std::size_t proven() const;
};
Proof proof_list(const observe::History& history, const fault::Predictor& predictor, const ProofOptions& options = {});

/// Number of the epoch, from 1, that an event lies in.
std::size_t epoch_of(std::size_t event, const observe::History& history);

}  // namespace halfsplit::plan
