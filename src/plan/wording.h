// plan/wording.h - plain words for a test: why it is proposed, and what each outcome would mean for the suspects.
#pragma once
#include <string>
#include <vector>

#include "plan/weigh.h"

namespace halfsplit::plan {

/// Outcomes, most probable first: "U14 to 83 %; clears U7, U9".
std::vector<fault::Outlook> outlooks(const Weighed& weighed, const Prospect& prospect, const fault::Catalogue& catalogue);
/// "verifies U14", "tells U14 from U7", "halves the suspects", "rails first".
std::string reason_for(const Weighed& weighed, const Prospect& prospect, const fault::Catalogue& catalogue);
/// 0.834 -> "83 %", 0.9996 -> "over 99.9 %".
std::string percent(double share);

}  // namespace halfsplit::plan
