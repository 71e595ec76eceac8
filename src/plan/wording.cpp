#include "plan/wording.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"

namespace halfsplit::plan {
namespace {

constexpr double kShown = 0.05;      ///< a suspect below this share is not named
constexpr double kUnexplained = 0.5; ///< share of the outside from which that is what an outcome means
constexpr std::size_t kMostNames = 3;

struct Shift { fault::SiteId site; double before = 0, after = 0; };

std::vector<Shift> shifts(const Weighed& weighed, const std::vector<double>& after) {
  std::vector<Shift> out;
  double total = 0;
  for (const double weight : weighed.rows.weights) total += weight;
  for (const fault::SiteId site : weighed.rows.sites) {
    out.push_back({site, weighed.rows.weight_at(site, weighed.rows.weights) / total, weighed.rows.weight_at(site, after)});
  }
  return out;
}

std::string names(const std::vector<Shift>& list, const fault::Catalogue& catalogue) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < std::min(list.size(), kMostNames); ++i) out.push_back(catalogue.site_name(list[i].site));
  std::string text = join(out, ", ");
  if (list.size() > kMostNames) text += fmt::format(" and {} more", list.size() - kMostNames);
  return text;
}

std::string meaning(const Weighed& weighed, const std::vector<double>& after, const fault::Catalogue& catalogue) {
  const std::vector<Shift> all = shifts(weighed, after);
  const double outside = after.back();
  std::vector<Shift> cleared;
  const Shift* top = nullptr;
  for (const Shift& shift : all) {
    if (top == nullptr || shift.after > top->after) top = &shift;
    if (shift.before >= kShown && shift.after < shift.before / 4) cleared.push_back(shift);
  }
  std::sort(cleared.begin(), cleared.end(), [](const Shift& a, const Shift& b) { return a.before != b.before ? a.before > b.before : a.site < b.site; });
  std::string text;
  if (top == nullptr || outside > kUnexplained) {
    text = "none of the suspects fits well";
  } else if (top->after > top->before) {
    text = fmt::format("{} to {}", catalogue.site_name(top->site), percent(top->after));
  } else {
    text = fmt::format("{} stays at {}", catalogue.site_name(top->site), percent(top->after));
  }
  if (!cleared.empty()) text += "; clears " + names(cleared, catalogue);
  return text;
}

}  // namespace

std::string percent(double share) {
  if (share > 0.999) return "over 99.9 %";
  if (share > 0 && share < 0.001) return "under 0.1 %";
  return share > 0.99 || share < 0.1 ? fmt::format("{:.1f} %", share * 100) : fmt::format("{:.0f} %", share * 100);
}

std::vector<fault::Outlook> outlooks(const Weighed& weighed, const Prospect& prospect, const fault::Catalogue& catalogue) {
  std::vector<fault::Outlook> out;
  const std::vector<double> chance = marginal(prospect.grouping, weighed.rows.weights);
  for (std::size_t group = 0; group < prospect.grouping.values.size(); ++group) {
    out.push_back({prospect.grouping.values[group], chance[group], meaning(weighed, weights_after(weighed, prospect, group), catalogue)});
  }
  std::stable_sort(out.begin(), out.end(), [](const fault::Outlook& a, const fault::Outlook& b) { return a.p > b.p; });
  return out;
}

std::string reason_for(const Weighed& weighed, const Prospect& prospect, const fault::Catalogue& catalogue) {
  if (prospect.stage == 0) return "rails first, power off: a short shows before it can do harm";
  if (prospect.stage == 1) return "rails first: nothing else means much before they are right";
  if (weighed.verifying) return "verifies " + catalogue.site_name(*weighed.rows.top);
  std::vector<std::pair<double, fault::SiteId>> risers;
  const std::vector<double> chance = marginal(prospect.grouping, weighed.rows.weights);
  for (std::size_t group = 0; group < chance.size(); ++group) {
    const std::vector<Shift> all = shifts(weighed, weights_after(weighed, prospect, group));
    const auto gain = [](const Shift& shift) { return shift.after - shift.before; };
    const auto most = std::max_element(all.begin(), all.end(), [&](const Shift& a, const Shift& b) { return gain(a) < gain(b); });
    if (most != all.end() && gain(*most) > 0) risers.emplace_back(-chance[group], most->site);
  }
  std::sort(risers.begin(), risers.end());
  if (prospect.bits > 0.8 && weighed.rows.top_share < 0.3) return "halves the suspects";
  if (risers.size() >= 2 && risers[0].second != risers[1].second) {
    return fmt::format("tells {} from {}", catalogue.site_name(risers[0].second), catalogue.site_name(risers[1].second));
  }
  if (!risers.empty()) return "tests " + catalogue.site_name(risers[0].second);
  return "narrows the suspects";
}

}  // namespace halfsplit::plan
