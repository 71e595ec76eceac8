// infer/posterior.h - weights become a ranking: suspects by site to repair, leaves, the healthy machine, the mass outside.
//
// Idea:     faults that no reading can show (background) keep their prior beside every explanation, exactly and in any number; the leaves
//           show them one at a time beside the healthy machine. A set that gains less than least_gain over one of its subsets is that
//           subset with a harmless extra and is added to its leaf; suspects count every set as it is.
// Start at: make_ranking().
#pragma once
#include "fault/ranking.h"
#include "infer/search.h"

namespace halfsplit::infer {

fault::Ranking make_ranking(const Scores& scores, const Found& found, const RankOptions& options);

}  // namespace halfsplit::infer
