#include "app/replay.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "app/past.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using knowledge::Held;
using knowledge::Lesson;

/// Lines before the first repair of the part; else before the closing.
std::size_t cut_before(const Sitting& sitting, board::PartId part) {
  const auto& events = sitting.history().events();
  for (std::size_t i = 0; i < events.size(); ++i)
    if (const auto* repair = std::get_if<observe::Repair>(&events[i]); repair && repair->part == part) return sitting.line_number(i) - 1;
  return sitting.job().lines.size();
}

std::size_t rank_of(const std::string& culprit, const fault::Ranking& ranking) {
  const auto found = std::find_if(ranking.suspects.begin(), ranking.suspects.end(), [&](const fault::Suspect& one) { return one.name == culprit; });
  if (found == ranking.suspects.end()) return 0;
  return static_cast<std::size_t>(std::count_if(ranking.suspects.begin(), found, [&](const fault::Suspect& one) { return one.p > found->p * (1 + 1e-9); })) + 1;
}

}  // namespace

struct PastJobs::Inside {
  struct Past {
    std::string lesson, id, title, culprit, profile;
    std::unique_ptr<Sitting> sitting;
  };
  explicit Inside(const Places& places) : shelf(places) {}
  ModelShelf shelf;
  std::vector<Past> rows;
  std::vector<std::string> unusable;

  Status add(Desk& desk, const Lesson& lesson, const std::string& title, const job::Job& job) {
    auto whole = desk.look_back(job, job.lines.size(), shelf);
    if (!whole) {
      unusable.push_back(title + ": " + whole.error().message);
      return Done{};
    }
    for (const std::string& culprit : culprits_in(lesson)) {
      const auto part = (*whole)->machine().find_part(culprit);
      if (!part) {
        unusable.push_back(fmt::format("{}: {} is not on the machine at hand", title, culprit));
        continue;
      }
      auto cut = desk.look_back(job, cut_before(**whole, *part), shelf);
      if (!cut) return cut.error();
      rows.push_back({lesson.id, lesson.id + " " + culprit, title, culprit, lesson.profile, std::move(cut).value()});
    }
    return Done{};
  }
};

PastJobs::PastJobs() = default;
PastJobs::PastJobs(PastJobs&&) noexcept = default;
PastJobs::~PastJobs() = default;
std::size_t PastJobs::size() const { return inside_->rows.size(); }
const std::vector<std::string>& PastJobs::unusable() const { return inside_->unusable; }
const std::string& PastJobs::id(std::size_t row) const { return inside_->rows[row].id; }
const std::string& PastJobs::title(std::size_t row) const { return inside_->rows[row].title; }
const std::string& PastJobs::culprit(std::size_t row) const { return inside_->rows[row].culprit; }

Result<PastJobs> PastJobs::of(Desk& desk) {
  PastJobs out;
  out.inside_ = std::make_unique<Inside>(desk.places());
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto list = (*shop)->list();
  if (!list) return list.error();
  std::set<std::string> own;
  for (const store::Summary& summary : *list) {
    auto job = (*shop)->load(summary.id);
    if (!job) return job.error();
    const auto lesson = (*shop)->lesson_of(*job);
    if (!lesson) return lesson.error();
    if (!*lesson) continue;
    own.insert((*lesson)->id);
    if (!(*lesson)->withdrawn)
      if (const Status added = out.inside_->add(desk, **lesson, fmt::format("job {}, {}", summary.id.number, summary.machine), *job); !added) return added.error();
  }
  const auto experience = (*shop)->experience();
  if (!experience) return experience.error();
  for (const auto& [id, held] : experience->lessons) {
    const Lesson& lesson = *held.variants.begin();
    if (own.contains(id) || lesson.withdrawn || lesson.repair.empty()) continue;
    const std::string title = fmt::format("lesson {}, {}", id.substr(0, 8), lesson.machine);
    const auto job = past_job(desk, lesson.repair, title, out.inside_->shelf);
    if (!job) {
      out.inside_->unusable.push_back(title + ": " + job.error().message);
      continue;
    }
    if (const Status added = out.inside_->add(desk, lesson, title, *job); !added) return added.error();
  }
  return out;
}

Result<std::vector<std::size_t>> PastJobs::rank(const store::Learned* learned, const std::map<std::string, Held>& own) {
  std::vector<std::size_t> out;
  for (Inside::Past& past : inside_->rows) {
    std::shared_ptr<const knowledge::Beliefs> beliefs;
    const auto tally = learned ? learned->tallies.find(past.profile) : std::map<std::string, knowledge::Tally>::const_iterator();
    if (learned && tally != learned->tallies.end()) {
      knowledge::Tally others = tally->second;
      if (const auto held = own.find(past.lesson); held != own.end())
        for (const Lesson& lesson : held->second.variants)
          if (lesson.profile == past.profile) others.add(lesson, -1, static_cast<std::int64_t>(held->second.variants.size()));
      beliefs = std::make_shared<knowledge::Beliefs>(knowledge::believe(others, learned->populations, past.sitting->model().knowledge(), past.profile));
    }
    past.sitting->learn_from(std::move(beliefs));
    const auto ranking = past.sitting->ranking();
    if (!ranking) return ranking.error();
    out.push_back(rank_of(past.culprit, *ranking));
  }
  return out;
}

std::vector<std::string> culprits_in(const Lesson& lesson) {
  std::map<std::string, knowledge::Micro> sums;
  for (const knowledge::Blame& blame : lesson.blames)
    if (!blame.strand.position.empty()) sums[blame.strand.position] += blame.count;
  std::vector<std::string> out;
  for (const auto& [position, count] : sums)
    if (2 * count >= knowledge::kOne) out.push_back(position);
  return out;
}

bool pushed_out(std::size_t before, std::size_t after) { return before >= 1 && before <= kForemost && (after == 0 || after > kForemost); }

Result<std::map<std::string, Held>> lessons_of(const store::Workshop& workshop) {
  auto experience = workshop.experience();
  if (!experience) return experience.error();
  return std::move(experience->lessons);
}

void sort_and_count(report::Replay& replay) {
  const auto place = [](const report::ReplayRow& row) {
    if (row.pushed) return 0;
    if (!row.before || *row.before == row.now) return 3;
    return row.now != 0 && (*row.before == 0 || row.now < *row.before) ? 2 : 1;
  };
  std::stable_sort(replay.rows.begin(), replay.rows.end(), [&](const auto& a, const auto& b) { return place(a) < place(b); });
  for (const report::ReplayRow& row : replay.rows) {
    const int at = place(row);
    replay.pushed += row.pushed;
    ++(at <= 1 ? replay.worse : at == 2 ? replay.better : replay.same);
  }
}

Result<report::Replay> replay(Desk& desk, bool sure) {
  auto past = PastJobs::of(desk);
  if (!past) return past.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto learned = (*shop)->learned();
  if (!learned) return learned.error();
  const auto own = lessons_of(**shop);
  if (!own) return own.error();
  const auto packs = past->rank(nullptr, *own), now = past->rank(&*learned, *own);
  if (!packs) return packs.error();
  if (!now) return now.error();
  const auto before = (*shop)->ranks();
  if (!before) return before.error();
  report::Replay out;
  std::map<std::string, std::int64_t> ranks;
  for (std::size_t i = 0; i < past->size(); ++i) {
    report::ReplayRow row{past->title(i), past->culprit(i), (*packs)[i], {}, (*now)[i], false};
    if (const auto it = before->find(past->id(i)); it != before->end()) row.before = static_cast<std::size_t>(it->second);
    row.pushed = row.before && pushed_out(*row.before, row.now);
    ranks[past->id(i)] = static_cast<std::int64_t>(row.now);
    out.rows.push_back(std::move(row));
  }
  out.unusable = past->unusable();
  sort_and_count(out);
  out.accepted = out.pushed == 0 || sure;
  if (out.accepted && ranks != *before)
    if (const Status kept = (*shop)->set_ranks(ranks); !kept) return kept.error();
  return out;
}

}  // namespace halfsplit::app
