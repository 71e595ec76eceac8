// observe/dismantled.h - what is apart now, in the order in which it came apart, with what was noted of it: the way back is the same list reversed.
//
// Idea:     a remark behind a colon belongs to the line's first change: "LS1-out: red to E5, black to E6", "lid-off: 5 screws, the long one at the left".
// Shape:    0 to 20 entries; the switch is none of them.
// Start at: dismantled(), small_parts_in().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "observe/history.h"

namespace halfsplit::observe {

struct Taken {
  board::Action action;
  std::string remark;     ///< as noted last; may be empty
  std::size_t event = 0;  ///< that took it apart
};
std::vector<Taken> dismantled(const History& history);

/// The pieces of a remark that speak of small loose parts: "5 screws", "the spring".
std::vector<std::string> small_parts_in(std::string_view remark);

}  // namespace halfsplit::observe
