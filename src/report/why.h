// report/why.h - why a part is suspected: reading by reading, how much each speaks for it or against it.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/suspects.h"

namespace halfsplit::report {

struct ReasonLine { std::size_t reading = 0; std::string text; double decibans = 0; };  ///< reading: number in the job, from 1
struct Why {
  Slip slip;
  SuspectLine suspect;
  std::size_t rank = 0;         ///< from 1; 0 = not among the suspects
  double start_decibans = 0;    ///< how often such parts fail
  std::vector<ReasonLine> reasons;
  double result_decibans = 0;
};
void print(std::ostream& out, const Why& why, const Style& style);
Json json_of(const Why& why);

/// Weight of evidence in words of betting: "10 to 1 for it", "says nothing".
std::string weight_words(double decibans);

}  // namespace halfsplit::report
