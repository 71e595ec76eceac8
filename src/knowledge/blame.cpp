#include "knowledge/blame.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace halfsplit::knowledge {
namespace {

constexpr double kLeast = 1e-3;         ///< counts below are left out
constexpr std::size_t kMostBlames = 40;

Micro micro(double count) { return static_cast<Micro>(std::llround(std::clamp(count, 0.0, 1.0) * kOne)); }

/// What each place weighs after the cure; where all that was touched had no share at all, it shares evenly.
std::vector<double> weights(const std::vector<Suspected>& suspected, double by_itself) {
  double touched = 0;
  std::size_t count = 0;
  for (const Suspected& one : suspected) {
    touched += one.touched ? one.p : 0;
    count += one.touched;
  }
  std::vector<double> out;
  for (const Suspected& one : suspected) {
    if (count == 0) out.push_back(one.p);
    else if (one.touched) out.push_back(touched > 0 ? one.p : 1 / static_cast<double>(count));
    else out.push_back(by_itself * one.p);
  }
  double sum = 0;
  for (const double weight : out) sum += weight;
  // Nothing touched: the posterior as it is, never blown up to a whole count.
  if (sum > 0 && (count > 0 || sum > 1))
    for (double& weight : out) weight /= sum;
  return out;
}

void give_out(std::vector<Blame>& out, const Suspected& place, double count) {
  double known = 0;
  for (const auto& [mode, share] : place.modes) known += share;
  const double scale = known > 1 ? 1 / known : 1;
  for (const auto& [mode, share] : place.modes)
    if (count * share * scale >= kLeast) out.push_back({place.strand, mode, micro(count * share * scale)});
  const double unknown = count * (1 - known * scale);
  if (unknown >= kLeast) out.push_back({place.strand, "", micro(unknown)});
}

}  // namespace

std::vector<Blame> summed(std::vector<Blame> blames) {
  std::map<std::pair<Strand, std::string>, Micro> sums;
  for (const Blame& blame : blames) sums[{blame.strand, blame.mode}] += blame.count;
  std::vector<Blame> out;
  for (const auto& [key, count] : sums)
    if (count > 0) out.push_back({key.first, key.second, std::min(count, kOne)});
  std::stable_sort(out.begin(), out.end(), [](const Blame& a, const Blame& b) { return a.count > b.count; });
  if (out.size() > kMostBlames) out.resize(kMostBlames);
  return out;
}

std::vector<Blame> blames_for(const std::vector<Suspected>& suspected, double by_itself) {
  const std::vector<double> counts = weights(suspected, by_itself);
  std::vector<Blame> out;
  for (std::size_t i = 0; i < suspected.size(); ++i)
    if (counts[i] >= kLeast) give_out(out, suspected[i], counts[i]);
  return summed(std::move(out));
}

}  // namespace halfsplit::knowledge
