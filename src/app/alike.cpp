#include "app/alike.h"

#include <algorithm>
#include <map>
#include <set>

#include "app/replay.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

constexpr std::size_t kMostLines = 200;

/// Words that say something, in small letters.
std::set<std::string> telling(const std::string& typed, const knowledge::Knowledge& knowledge) {
  std::set<std::string> out;
  const auto& filler = knowledge.entries().filler;
  std::string plain = lower(typed);
  for (char& c : plain)
    if (static_cast<unsigned char>(c) < 0x80 && !std::isalnum(static_cast<unsigned char>(c)) && c != '+') c = ' ';
  for (const std::string_view word : words(plain)) {
    const std::string one(word);
    if (!filler || std::find(filler->words.begin(), filler->words.end(), one) == filler->words.end()) out.insert(one);
  }
  return out;
}

bool like(const std::set<std::string>& a, const std::set<std::string>& b) {
  const auto shared = static_cast<std::size_t>(std::count_if(a.begin(), a.end(), [&](const std::string& word) { return b.contains(word); }));
  return shared > 0 && 2 * shared >= a.size() && 2 * shared >= b.size();
}

}  // namespace

Result<report::Alike> jobs_alike(Desk& desk, const Sitting& sitting) {
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const knowledge::Knowledge& knowledge = sitting.model().knowledge();
  std::set<std::int64_t> numbers;
  for (const job::Line& line : sitting.job().lines) {
    if (line.kind != job::LineKind::symptom) continue;
    const std::set<std::string> wanted = telling(job::symptom_in(line).words, knowledge);
    const auto found = (*shop)->search_any(join({wanted.begin(), wanted.end()}, " "), kMostLines);
    if (!found) return found.error();
    for (const store::Found& one : *found) {
      const bool other = one.id != sitting.job().id && one.machine == sitting.job().machine && job::is_closed(one.outcome);
      if (other && one.line.kind == job::LineKind::symptom && like(wanted, telling(job::symptom_in(one.line).words, knowledge))) numbers.insert(one.id.number);
    }
  }
  report::Alike out;
  std::map<std::string, std::vector<std::int64_t>> culprits;
  for (const std::int64_t number : numbers) {
    const auto job = (*shop)->load({number});
    if (!job) return job.error();
    out.jobs.push_back(number);
    std::vector<std::string> places;
    for (const job::Culprit& culprit : job->ending().culprits) places.push_back(culprit.place);
    if (places.empty()) {
      const auto lesson = (*shop)->lesson_of(*job);
      if (!lesson) return lesson.error();
      if (*lesson) places = culprits_in(**lesson);
    }
    for (const std::string& place : places) culprits[place].push_back(number);
  }
  for (auto& [place, jobs] : culprits) out.culprits.push_back({place, std::move(jobs)});
  std::stable_sort(out.culprits.begin(), out.culprits.end(), [](const auto& a, const auto& b) { return a.jobs.size() > b.jobs.size(); });
  return out;
}

Result<report::JobsFound> find_jobs(Desk& desk, const std::string& words) {
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto found = (*shop)->search(words);
  if (!found) return found.error();
  report::JobsFound out;
  for (const store::Found& one : *found) out.lines.push_back({one.id.number, one.title, one.machine, job::name_of(one.outcome), job::name_of(one.line.kind), one.line.typed});
  return out;
}

}  // namespace halfsplit::app
