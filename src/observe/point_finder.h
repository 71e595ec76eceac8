// observe/point_finder.h - what a text can name on a machine: all meanings, so that the value beside it may decide ("sound": a net or a function).
//
// Shape:    one finder a line; it remembers the most telling error of what it tried.
// Cost:     O(parts + nets) a question, spelling help only when asked for.
// Start at: PointFinder::find(), parse_point() in observe/parse.h.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "observe/observation.h"

namespace halfsplit::observe {

class PointFinder {
 public:
  explicit PointFinder(const board::Machine& machine);
  /// Every point the text can mean; empty when none.
  std::vector<Point> find(std::string_view text);
  /// Points of a list: "A0..A15", "A0-A7", "U5.2..9", "U5 pins 11 and 13", "A0, A1 and A5"; empty when it is no list or one entry is unknown.
  std::vector<Point> find_list(std::string_view text);
  /// One point, or why not: several meanings, an unknown name with "did you mean", a pin without its part.
  Result<Point> one(std::string_view text);
  std::optional<board::PartId> part(std::string_view ref);
  const board::Machine& machine() const { return machine_; }

 private:
  struct Tip { board::PinId pin; board::NetId net; };
  std::optional<board::PinId> pin_of(board::PartId part, std::string_view pin);
  std::optional<board::PinId> leg(std::string_view text);
  std::optional<board::PinId> leg_in_words(std::string_view text);
  std::optional<board::PinId> leg_with_mark(std::string_view text);
  std::optional<board::NetId> net(std::string_view name);
  std::optional<board::NetId> rail(std::string_view name);
  std::optional<Tip> tip(std::string_view text);
  std::optional<Point> function(std::string_view text);
  std::optional<Point> pair(std::string_view text);
  std::optional<Point> two_pins(std::string_view text);
  std::optional<Point> sided(std::string_view text);
  std::optional<Point> named_kind(std::string_view text);
  std::vector<Point> plain(std::string_view text);
  std::vector<Point> numbered_list(std::string_view first, std::string_view last);
  Error unknown(std::string_view text);

  const board::Machine& machine_;
  std::vector<std::string> net_keys_;  ///< net names without marks, lower case
  std::optional<Error> near_;
};

}  // namespace halfsplit::observe
