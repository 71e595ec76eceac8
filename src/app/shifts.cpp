#include "app/shifts.h"

#include <algorithm>
#include <map>
#include <string>

namespace halfsplit::app {
namespace {

constexpr double kWasSuspect = 0.02, kMuchLess = 0.5;  ///< cleared: was at least this, is at most this share of it
constexpr std::size_t kMostCleared = 5;

std::map<std::string, double> shares(const fault::Ranking& ranking) {
  std::map<std::string, double> out;
  for (const fault::Suspect& suspect : ranking.suspects) out.emplace(suspect.name, suspect.p);
  return out;
}

}  // namespace

void add_shifts(report::Entry& entry, const fault::Ranking& before, const fault::Ranking& after) {
  const auto was = shares(before), is = shares(after);
  const auto at = [](const std::map<std::string, double>& all, const std::string& site) {
    const auto found = all.find(site);
    return found == all.end() ? 0.0 : found->second;
  };
  // In the order of the ranking before, which is that of the sites where shares are equal.
  for (const fault::Suspect& suspect : before.suspects)
    if (suspect.p >= kWasSuspect && at(is, suspect.name) <= suspect.p * kMuchLess) entry.cleared.push_back({suspect.name, suspect.p, at(is, suspect.name)});
  std::stable_sort(entry.cleared.begin(), entry.cleared.end(), [](const auto& a, const auto& b) { return a.before - a.after > b.before - b.after; });
  if (entry.cleared.size() > kMostCleared) entry.cleared.resize(kMostCleared);
  if (!after.suspects.empty()) entry.first = report::ShiftLine{after.suspects.front().name, at(was, after.suspects.front().name), after.suspects.front().p};
}

}  // namespace halfsplit::app
