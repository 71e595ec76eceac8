// plan/rows.h - the hypotheses a plan reckons with: the most probable leaves and, last, the outside; grouped by what would have to be repaired.
#pragma once
#include <cstdint>
#include <optional>
#include <vector>

#include "fault/ranking.h"

namespace halfsplit::plan {

struct Rows {
  std::vector<fault::Hypothesis> hypotheses;        ///< without the outside
  std::vector<double> weights;                      ///< [row], the outside last
  std::vector<std::uint32_t> class_of;              ///< [row] index into `classes`
  std::vector<std::vector<fault::SiteId>> classes;  ///< sites to repair together, sorted; empty = nothing, or the outside
  std::vector<fault::SiteId> sites;                 ///< all sites of the rows, sorted
  std::optional<fault::SiteId> top;                 ///< the site with the most weight that is not settled yet
  double top_share = 0;                             ///< of the found weight
  std::size_t outside_row() const { return hypotheses.size(); }
  /// Weight of the rows that hold the site, each row's weight given by the caller.
  double weight_at(fault::SiteId site, const std::vector<double>& row_weights) const;
};
/// A site with at least this share of the found weight needs no more readings; what else is wrong is asked then.
constexpr double kSettled = 0.9999;
/// `spared` sites (sorted) count as nothing to repair.
Rows make_rows(const fault::Ranking& ranking, const fault::Catalogue& catalogue, std::size_t most, const std::vector<fault::SiteId>& spared = {});

}  // namespace halfsplit::plan
