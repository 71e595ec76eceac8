// report/signal_path.h - the way of a signal from a culprit to the function that fails, and a drawing of it.
//
// Idea:     the shortest way on the machine's own graph (board::Machine::path) to any need of the function; parts in order, the nets between them.
// Drawing:  SVG with text as text, no reference to anything outside; rows from left to right, a line leads from the end of one to the start of the next.
// Start at: signal_path(), draw().
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board/machine.h"

namespace halfsplit::report {

struct PathStop {
  std::string part, title;  ///< "U5", "quad 2-input OR gate"
  std::string in, out;      ///< pins: "11 (CLK)"; empty at the ends
};
struct SignalPath {
  std::string culprit, symptom;    ///< "U5", "the four lamps follow the program"
  std::vector<PathStop> stops;     ///< the culprit first
  std::vector<std::string> nets;   ///< between stop i and i + 1
};
/// Nothing where the graph leads nowhere: a supply, a mechanism, a part of the surroundings.
std::optional<SignalPath> signal_path(const board::Machine& machine, board::PartId culprit, board::FunctionId symptom);

/// "U5 -OUTCK- U7 -L0- R2 -LA0- D1: the four lamps follow the program".
std::string in_one_line(const SignalPath& path);
/// A complete <svg> element, at most `width` wide.
std::string draw(const SignalPath& path, double width = 720);

/// The text with the five characters escaped that mean something in HTML and XML; control characters become blanks.
std::string escaped(std::string_view text);

}  // namespace halfsplit::report
