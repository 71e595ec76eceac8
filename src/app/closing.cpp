#include "app/closing.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "app/cases.h"
#include "app/jobs.h"
#include "app/learned.h"
#include "app/proving.h"
#include "app/teaching.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using knowledge::Beliefs;

constexpr std::size_t kMostMoved = 5, kMostBlames = 8;
constexpr double kLeastShown = 0.01;

std::string spoken(std::string id) {
  std::replace(id.begin(), id.end(), '-', ' ');
  return id;
}

std::string place_of(const knowledge::Strand& strand) { return strand.position.empty() ? strand.rate_class : strand.position; }

report::BlameLine blame_line(const knowledge::Blame& blame, const Beliefs& before, const Beliefs& after, const board::Machine& machine) {
  report::BlameLine out;
  out.place = place_of(blame.strand);
  out.mode = blame.mode;
  out.count = static_cast<double>(blame.count) / knowledge::kOne;
  const auto part = machine.find_part(blame.strand.position);
  const std::string kind = blame.strand.rate_class == knowledge::kJointClass ? "" : part ? machine.part(*part).type->title : "";
  out.title = kind.empty() || blame.mode.empty() ? kind + spoken(blame.mode) : kind + ", " + spoken(blame.mode);
  out.before = before.factor(blame.strand);
  out.after = after.factor(blame.strand);
  const auto was = before.levels(blame.strand);
  for (const knowledge::LevelBelief& level : after.levels(blame.strand)) {
    const auto same = std::find_if(was.begin(), was.end(), [&](const auto& one) { return one.level == level.level; });
    out.levels.push_back({level.level, level.name, same == was.end() ? 1 : same->factor, level.factor, level.counted, level.expected});
  }
  return out;
}

std::vector<report::MovedLine> moved(const fault::Ranking& before, const fault::Ranking& after) {
  const auto find = [](const fault::Ranking& ranking, const std::string& site) {
    return std::find_if(ranking.suspects.begin(), ranking.suspects.end(), [&](const fault::Suspect& one) { return one.name == site; });
  };
  std::vector<std::string> sites;
  const auto add = [&](const fault::Ranking& ranking) {
    for (std::size_t i = 0; i < std::min(kMostMoved, ranking.suspects.size()); ++i)
      if (ranking.suspects[i].p >= kLeastShown && std::find(sites.begin(), sites.end(), ranking.suspects[i].name) == sites.end()) sites.push_back(ranking.suspects[i].name);
  };
  add(after);
  add(before);
  std::vector<report::MovedLine> out;
  for (const std::string& site : sites) {
    report::MovedLine one{site, 0, 0, 0, 0};
    if (const auto it = find(before, site); it != before.suspects.end()) {
      one.rank_before = static_cast<std::size_t>(it - before.suspects.begin()) + 1;
      one.before = it->p;
    }
    if (const auto it = find(after, site); it != after.suspects.end()) {
      one.rank_after = static_cast<std::size_t>(it - after.suspects.begin()) + 1;
      one.after = it->p;
    }
    out.push_back(std::move(one));
  }
  return out;
}

/// The knowledge without and with the lesson, on this very job.
Result<report::Taught> shown(Desk& desk, const job::Job& job, const Lessons& lessons) {
  report::Taught out;
  const knowledge::Lesson& lesson = lessons.teaching.lesson;
  out.withdrawn = lesson.withdrawn;
  out.cure = lessons.cure;
  if (out.withdrawn) return out;
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  auto learned = (*shop)->learned();
  if (!learned) return learned.error();
  const auto tally = tally_for(**shop, *learned, job, lesson.profile);
  if (!tally) return tally.error();
  auto sitting = desk.look_back(job, lessons.cut);
  if (!sitting) return sitting.error();
  const knowledge::Knowledge& knowledge = (*sitting)->model().knowledge();
  const auto before = std::make_shared<Beliefs>(knowledge::believe(*tally, learned->populations, knowledge, lesson.profile));
  knowledge::Tally more = *tally;
  more.add(lesson, 1, 1);
  learned->populations.emplace(lesson.population, lessons.teaching.population);
  const auto after = std::make_shared<Beliefs>(knowledge::believe(more, learned->populations, knowledge, lesson.profile));
  for (const knowledge::Blame& blame : lesson.blames)
    if (out.blames.size() < kMostBlames && (out.blames.empty() || blame.count >= knowledge::kOne / 100)) out.blames.push_back(blame_line(blame, *before, *after, (*sitting)->machine()));
  (*sitting)->learn_from(before);
  const auto was = (*sitting)->ranking();
  if (!was) return was.error();
  (*sitting)->learn_from(after);
  const auto is = (*sitting)->ranking();
  if (!is) return is.error();
  out.moved = moved(*was, *is);
  return out;
}

}  // namespace

Result<report::Closing> close_job(Desk& desk, const std::string& how, bool sure) {
  auto job = job_of(desk, {});
  if (!job) return job.error();
  auto line = job::make_line(job::LineKind::close, how, desk.now());
  if (!line) return line.error();
  if (const Status may = job::may_add(*job, *line); !may) return may.error();
  const auto lessons = teaching_of(desk, *job, *line);
  if (!lessons) return lessons.error();
  report::Closing out;
  if (*lessons) {
    auto taught = shown(desk, *job, **lessons);
    if (!taught) return taught.error();
    out.taught = std::move(taught).value();
    out.remarks = (*lessons)->remarks;
  }
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  if (sure || !*lessons || out.taught->withdrawn) {
    if (const Status kept = (*shop)->append(*job, std::move(line).value(), *lessons ? &(*lessons)->teaching : nullptr); !kept) return kept.error();
    out.written = true;
  } else {
    job->lines.push_back(std::move(line).value());
  }
  out.job = shown_job(*job);
  out.job.just_closed = true;
  if (job->ending().outcome == job::Outcome::proven) {
    const std::size_t lines = job->lines.size();
    // A job is closed whatever its machine's files say now.
    if (auto sitting = desk.look_back(std::move(*job), lines)) out.job.owed = still_owed(**sitting);
  }
  return out;
}

Result<std::string> case_of_job(Desk& desk, const std::string& number, bool with_words) {
  auto job = job_of(desk, number);
  if (!job) return job.error();
  const std::size_t lines = job->lines.size();
  auto sitting = desk.look_back(std::move(job).value(), lines);
  if (!sitting) return sitting.error();
  return case_text(**sitting, with_words ? Wording::kept : Wording::left_out);
}

}  // namespace halfsplit::app
