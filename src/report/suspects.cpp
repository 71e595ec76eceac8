#include "report/suspects.h"

#include <fmt/core.h>

#include <algorithm>
#include <ostream>

#include "base/text.h"
#include "plan/wording.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

constexpr double kModeShown = 0.25;  ///< of the suspect's share

/// "output stuck low at U14.9", or the two most probable ways.
std::string ways(const SuspectLine& suspect) {
  std::string out;
  for (std::size_t i = 0; i < std::min<std::size_t>(suspect.modes.size(), 2); ++i) {
    if (i > 0 && suspect.modes[i].p < kModeShown * suspect.p) break;
    out += (out.empty() ? "" : ", or ") + suspect.modes[i].title;
  }
  return out;
}

/// "3 jobs like this: two were U14 (jobs 1 and 4), one was U7 (job 2)."
std::string alike_text(const Alike& alike) {
  constexpr std::size_t kMost = 3, kMostNumbers = 4;
  static constexpr const char* kNumbers[] = {"none", "one", "two", "three", "four", "five", "six"};
  const auto number = [](std::size_t count) { return count < 7 ? std::string(kNumbers[count]) : std::to_string(count); };
  std::vector<std::string> parts;
  for (const AlikeCulprit& culprit : alike.culprits) {
    if (parts.size() == kMost) break;
    std::vector<std::string> jobs;
    for (const std::int64_t job : culprit.jobs)
      if (jobs.size() < kMostNumbers) jobs.push_back(std::to_string(job));
    parts.push_back(fmt::format("{} {} {} (job{} {}{})", number(culprit.jobs.size()), culprit.jobs.size() == 1 ? "was" : "were", culprit.place, jobs.size() == 1 ? "" : "s", join(jobs, ", "), culprit.jobs.size() > jobs.size() ? "..." : ""));
  }
  return fmt::format("{} like this{}{}.", counted(alike.jobs.size(), "job"), parts.empty() ? "" : ": ", join(parts, "; "));
}

Json json_of_alike(const Alike& alike) {
  const auto numbers = [](const std::vector<std::int64_t>& jobs) {
    Json out = Json::array();
    for (const std::int64_t job : jobs) out.push(job);
    return out;
  };
  Json out, culprits = Json::array();
  for (const AlikeCulprit& culprit : alike.culprits) {
    Json one;
    culprits.push(one.set("place", culprit.place).set("jobs", numbers(culprit.jobs)));
  }
  return out.set("jobs", numbers(alike.jobs)).set("culprits", std::move(culprits));
}

}  // namespace

void print(std::ostream& out, const Suspects& suspects, const Style& style, const SuspectsView& view) {
  print(out, suspects.slip, style);
  Table table;
  std::size_t shown = 0;
  for (const SuspectLine& suspect : suspects.suspects) {
    if (shown == view.most || (suspect.p < view.least && shown > 0)) break;
    ++shown;
    table.row({fmt::format("{:>2}", shown), suspect.site, plan::percent(suspect.p), suspect.title.empty() ? ways(suspect) : suspect.title + ": " + ways(suspect)},
              shown == 1 ? Ink::strong : Ink::plain);
  }
  table.print(out, style);
  const std::size_t rest = suspects.suspects.size() - shown;
  if (rest > 0) out << inked(fmt::format("    and {} more below {} (--all shows them)", rest, plan::percent(suspects.suspects[shown].p)), Ink::faint, style) << '\n';
  if (suspects.outside >= view.least) paragraph(out, fmt::format("{}{} that none of these explains it all.", suspects.outside_is_bound ? "At most " : "", plan::percent(suspects.outside)), style, "    ");
  if (suspects.healthy >= 0.05) paragraph(out, fmt::format("{} that nothing is wrong at all.", plan::percent(suspects.healthy)), style, "    ");
  for (const std::string& doubted : suspects.doubted) paragraph(out, "Read this once more, it looks like a slip: " + doubted, style, "    ");
  if (!suspects.alike.jobs.empty()) paragraph(out, alike_text(suspects.alike), style, "    ");
  if (suspects.readings == 0) paragraph(out, "No reading yet: this is only how often such parts fail. Say what doesn't work: halfsplit symptom no picture", style, "    ");
}

Json json_of(const Suspects& suspects) {
  Json out;
  out.set("schema", "halfsplit/suspects/1");
  Json list = Json::array();
  for (const SuspectLine& suspect : suspects.suspects) {
    Json modes = Json::array();
    for (const ModeLine& mode : suspect.modes) {
      Json one;
      modes.push(one.set("mode", mode.mode).set("title", mode.title).set("p", json_share(mode.p)));
    }
    Json one;
    one.set("site", suspect.site).set("part", suspect.part.empty() ? Json() : Json(suspect.part)).set("title", suspect.title);
    list.push(one.set("p", json_share(suspect.p)).set("modes", std::move(modes)));
  }
  out.set("suspects", std::move(list)).set("outside", json_share(suspects.outside)).set("outside_is_bound", suspects.outside_is_bound);
  out.set("healthy", json_share(suspects.healthy)).set("readings", suspects.readings).set("doubted", json_of(suspects.doubted));
  out.set("alike", json_of_alike(suspects.alike));
  add_json(out, suspects.slip);
  return out;
}

}  // namespace halfsplit::report
