// app/choices.h - what the person has settled for this job: functions that need not work, defects that stay, places and acts out of reach.
//
// Shape:    names of the job's lines become ids of its machine; a name that the machine no longer has is passed over here and shown with the lost lines.
// Errors:   read_*(): not_found and usage of the line itself, before it is kept.
// Start at: choices_of(); what plan makes of them is in docs/planning.md.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "board/machine.h"
#include "fault/predictor.h"
#include "fault/ranking.h"
#include "job/options.h"

namespace halfsplit::app {

/// Places and acts that are out of reach: no query that needs one of them is proposed.
struct OutOfReach {
  std::vector<observe::Point> points;
  std::vector<observe::Kind> kinds;
  std::vector<board::Action::Kind> acts;
  bool unsoldering = false;  ///< no part without a socket comes out, no pin is lifted
  bool empty() const { return points.empty() && kinds.empty() && acts.empty() && !unsoldering; }
  /// True where the query, or the way to its set-up from `now`, needs what is out of reach.
  bool bars(const fault::Query& query, const board::Setup& now, const board::Machine& machine) const;
};

struct LeftDefect { board::PartId part; std::string why, when; };

struct Choices {
  std::vector<board::FunctionId> set_aside;
  std::vector<LeftDefect> left;
  OutOfReach out_of_reach;
  bool wanted(board::FunctionId function) const;
};
Choices choices_of(const job::Options& options, const board::Machine& machine);

/// By id, title, or the only function whose title holds the words.
Result<board::FunctionId> read_function(std::string_view text, const board::Machine& machine);
/// "U5.8", "U5", "net A5", "ohms", "scope", "unsoldering", each with ": why" behind it. not_found where it names nothing of these.
Result<OutOfReach> read_cannot(std::string_view text, const board::Machine& machine);

/// Sites that are not to be mended: parts whose defect stays, and of those ranked the ones that touch nothing but functions set aside. Sorted.
std::vector<fault::SiteId> spared_sites(const Choices& choices, const fault::Predictor& predictor, const fault::Ranking& ranking);

}  // namespace halfsplit::app
