// report/way_back.h - the way back to a whole machine: last off first on, with what was noted on the way in, and the small parts to account for.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/slip.h"

namespace halfsplit::report {

struct BackStep {
  std::string step;    ///< "fit U4 again"
  std::string remark;  ///< as noted when it came off
  std::string ask;     ///< what should have been noted and wasn't
  std::string when;
};
struct WayBack {
  Slip slip;
  std::vector<BackStep> steps;
  std::vector<std::string> small_parts;  ///< "5 screws (lid)"
  bool power_on = false;                 ///< the switch comes last
};
void print(std::ostream& out, const WayBack& way, const Style& style);
Json json_of(const WayBack& way);

}  // namespace halfsplit::report
