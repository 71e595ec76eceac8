// infer/posterior.h - weights become a ranking: suspects by site to repair, leaves, the healthy machine, the mass outside.
//
// Idea:     a suspect's p is the chance that it is a member of what explains the readings. A set that gains less than least_gain over one of
//           its subsets is that subset with a harmless extra and counts as it. Faults that no reading can show (background) keep their prior
//           beside the healthy machine, exactly and in any number; the leaves show them one at a time. With least_gain minus infinity
//           everything is counted as it is and the suspects are the whole posterior.
// Start at: make_ranking().
#pragma once
#include "fault/ranking.h"
#include "infer/search.h"

namespace halfsplit::infer {

fault::Ranking make_ranking(const Scores& scores, const Found& found, const RankOptions& options);

}  // namespace halfsplit::infer
