#include "plan/rows.h"

#include <algorithm>
#include <map>

namespace halfsplit::plan {

double Rows::weight_at(fault::SiteId site, const std::vector<double>& row_weights) const {
  double sum = 0;
  for (std::size_t row = 0; row < hypotheses.size(); ++row) {
    const auto& held = classes[class_of[row]];
    if (std::binary_search(held.begin(), held.end(), site)) sum += row_weights[row];
  }
  return sum;
}

Rows make_rows(const fault::Ranking& ranking, const fault::Catalogue& catalogue, std::size_t most, const std::vector<fault::SiteId>& spared) {
  Rows out;
  std::map<std::vector<fault::SiteId>, std::uint32_t> number;
  for (const fault::Leaf& leaf : ranking.leaves) {
    if (out.hypotheses.size() == most) break;
    std::vector<fault::SiteId> held;
    for (const fault::FaultId member : leaf.hypothesis)
      if (const fault::SiteId site = catalogue.site_of(member); !std::binary_search(spared.begin(), spared.end(), site)) held.push_back(site);
    std::sort(held.begin(), held.end());
    held.erase(std::unique(held.begin(), held.end()), held.end());
    const auto [place, fresh] = number.emplace(held, static_cast<std::uint32_t>(out.classes.size()));
    if (fresh) out.classes.push_back(held);
    out.hypotheses.push_back(leaf.hypothesis);
    out.weights.push_back(leaf.p);
    out.class_of.push_back(place->second);
    out.sites.insert(out.sites.end(), held.begin(), held.end());
  }
  out.weights.push_back(ranking.outside);
  out.class_of.push_back(static_cast<std::uint32_t>(out.classes.size()));
  out.classes.emplace_back();
  std::sort(out.sites.begin(), out.sites.end());
  out.sites.erase(std::unique(out.sites.begin(), out.sites.end()), out.sites.end());
  double found = 0, best = 0;
  for (std::size_t row = 0; row < out.hypotheses.size(); ++row) found += out.weights[row];
  for (const fault::SiteId site : out.sites) {
    const double weight = out.weight_at(site, out.weights);
    if (weight <= best || weight >= kSettled * found) continue;
    best = weight;
    out.top = site;
  }
  out.top_share = found > 0 ? best / found : 0;
  return out;
}

}  // namespace halfsplit::plan
