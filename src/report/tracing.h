// report/tracing.h - the buses of a machine without a netlist: how sure each is, and what to measure to settle it.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/style.h"
#include "report/slip.h"

namespace halfsplit::report {

struct BusLine {
  std::string title, from, to;   ///< "data", "U1", "U2"
  std::size_t lanes = 0;
  double chance = 0;
  bool settled = false;
  std::string measure;           ///< "U1.14-U2.11": the pair to read next; empty when settled or ruled out
};
struct Tracing {
  Slip slip;
  std::string machine;
  std::vector<BusLine> buses;    ///< those worth telling, most probable first
  std::size_t untraced = 0;      ///< pins whose driver is not known
};
void print(std::ostream& out, const Tracing& tracing, const Style& style);
Json json_of(const Tracing& tracing);

}  // namespace halfsplit::report
