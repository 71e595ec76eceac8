// report/slip.h - what stands above every answer about a machine on the bench: danger first, then the state of the bench where it is not the plain one.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/style.h"

namespace halfsplit::report {

struct Slip {
  std::vector<std::string> stops;     ///< whole sentences; first lines of the answer, never shortened
  std::vector<std::string> cautions;  ///< one line each: danger and act
  std::string bench;                  ///< "power off, U4 out"; empty: complete and powered
  bool empty() const { return stops.empty() && cautions.empty() && bench.empty(); }
};
void print(std::ostream& out, const Slip& slip, const Style& style);
/// Members "stops", "cautions" and "setup", always there.
void add_json(Json& object, const Slip& slip);

/// Texts as a JSON array.
Json json_of(const std::vector<std::string>& texts);
/// A probability as JSON: rounded to six digits, so that answers can be compared.
Json json_share(double p);

}  // namespace halfsplit::report
