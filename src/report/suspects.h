// report/suspects.h - the ranked suspects of a job: sites to repair with their probability, how they would have failed, and the mass outside.
#pragma once
#include <cstdint>
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/slip.h"

namespace halfsplit::report {

struct ModeLine {
  std::string mode;   ///< id, "output-stuck-low"
  std::string title;  ///< "output stuck low at U14.9 (2Y3)"
  double p = 0;
};
struct SuspectLine {
  std::string site;   ///< "U14", "outside the model"
  std::string part;   ///< reference; empty where the site is none
  std::string title;  ///< "74LS244 octal buffer"
  double p = 0;
  std::vector<ModeLine> modes;  ///< most probable first
};
/// Past jobs in which the owner said the like.
struct AlikeCulprit { std::string place; std::vector<std::int64_t> jobs; };
struct Alike {
  std::vector<std::int64_t> jobs;
  std::vector<AlikeCulprit> culprits;  ///< most often first; jobs without a named culprit are in none
};
struct Suspects {
  Slip slip;
  std::vector<SuspectLine> suspects;  ///< most probable first
  double healthy = 0;                 ///< no fault at all
  double outside = 0;                 ///< not searched, or not in the model
  bool outside_is_bound = false;
  std::size_t readings = 0;           ///< that speak of the machine as it is now
  std::vector<std::string> doubted;   ///< readings that look like a slip of the tip
  Alike alike;
};
struct SuspectsView { std::size_t most = 8; double least = 0.005; };  ///< lines shown as text
void print(std::ostream& out, const Suspects& suspects, const Style& style, const SuspectsView& view = {});
Json json_of(const Suspects& suspects);

}  // namespace halfsplit::report
