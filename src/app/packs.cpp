#include "app/packs.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "app/past.h"
#include "app/replay.h"
#include "app/teaching.h"
#include "base/scan.h"
#include "base/text.h"
#include "job/case.h"
#include "knowledge/lesson_pack.h"

namespace halfsplit::app {
namespace {

using knowledge::Lesson;
using knowledge::Strand;

constexpr std::size_t kMostLearned = 12;
constexpr double kWorthTelling = 0.05;  ///< of the logarithm of a factor

double whole(knowledge::Micro count) { return static_cast<double>(count) / knowledge::kOne; }

std::string blames_text(const Lesson& lesson) {
  std::vector<std::string> out;
  for (const knowledge::Blame& blame : lesson.blames) {
    const std::string place = blame.strand.position.empty() ? blame.strand.rate_class : blame.strand.position;
    out.push_back(fmt::format("{}{}{}", place, blame.mode.empty() ? "" : " " + blame.mode, blame.count == knowledge::kOne ? "" : fmt::format(" {:.3g}", whole(blame.count))));
  }
  return lesson.withdrawn ? "withdrawn" : join(out, ", ");
}

report::ConflictLine conflict_of(const std::string& id, const knowledge::Held& held) {
  report::ConflictLine out{id, held.version, {}};
  for (const Lesson& lesson : held.variants) out.variants.push_back({lesson.machine, lesson.ending, blames_text(lesson)});
  return out;
}

void add_learned(report::KnowledgeList& out, const store::Learned& learned, const knowledge::Knowledge& knowledge) {
  for (const auto& [profile, tally] : learned.tallies) {
    const knowledge::Beliefs beliefs = knowledge::believe(tally, learned.populations, knowledge, profile);
    for (const auto& [strand, count] : tally.blamed) {
      const double factor = beliefs.factor(strand);
      if (std::abs(std::log(factor)) < kWorthTelling) continue;
      out.learned.push_back({profile, strand.machine, strand.position.empty() ? strand.rate_class : strand.position, strand.type.empty() ? strand.rate_class : strand.rate_class + ", " + strand.type, factor, whole(count)});
    }
  }
  std::stable_sort(out.learned.begin(), out.learned.end(), [](const auto& a, const auto& b) { return std::abs(std::log(a.factor)) > std::abs(std::log(b.factor)); });
  if (out.learned.size() > kMostLearned) out.learned.resize(kMostLearned);
}

/// Modes and parts that were told in words.
void add_words(report::KnowledgeList& out, const store::Learned& learned, const parts::Library& library) {
  std::map<std::pair<std::string, std::string>, knowledge::Micro> sums;
  for (const auto& [profile, tally] : learned.tallies)
    for (const auto& [key, count] : tally.modes) {
      const Strand& strand = key.first;
      const auto& known = library.modes(strand.rate_class, strand.technology);
      const bool listed = std::any_of(known.begin(), known.end(), [&](const parts::Mode& mode) { return mode.id == key.second; });
      const bool ours = key.second == fault::kJointOpen || key.second == fault::kUnlisted || key.second == fault::kOutside || strand.rate_class == knowledge::kJointClass;
      if (!listed && !ours) sums[{strand.rate_class, key.second}] += count;
    }
  for (const auto& [key, count] : sums) out.words.push_back({key.first, key.second, whole(count)});
}

Status write_text(const std::string& file, const std::string& text, bool replace) {
  std::error_code ignored;
  if (!replace && std::filesystem::exists(file, ignored)) return needs_confirmation(file + " is there already", "take another name, or add --replace");
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  out << text;
  out.close();
  return out ? Status(Done{}) : Status(bad_input(file + " can't be written", {}, "is the folder there, and is there room?"));
}

/// What the lessons of a pack would do to the ranks of past jobs.
Result<std::optional<report::Replay>> tried(Desk& desk, const knowledge::LessonPack& pack) {
  auto past = PastJobs::of(desk);
  if (!past) return past.error();
  if (past->size() == 0) return std::optional<report::Replay>();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto learned = (*shop)->learned();
  auto experience = (*shop)->experience();
  if (!learned) return learned.error();
  if (!experience) return experience.error();
  const auto before = past->rank(&*learned, experience->lessons);
  if (!before) return before.error();
  const knowledge::Experience both = knowledge::merged(std::move(experience).value(), pack.experience);
  const store::Learned more{knowledge::tally_of(both), both.populations};
  const auto after = past->rank(&more, both.lessons);
  if (!after) return after.error();
  report::Replay out;
  out.with = pack.id;
  for (std::size_t i = 0; i < past->size(); ++i)
    out.rows.push_back({past->title(i), past->culprit(i), {}, (*before)[i], (*after)[i], pushed_out((*before)[i], (*after)[i])});
  sort_and_count(out);
  out.unusable = past->unusable();
  return std::optional(std::move(out));
}

}  // namespace

Result<report::KnowledgeList> list_knowledge(Desk& desk) {
  const auto knowledge = knowledge::Knowledge::load(desk.places().knowledge());
  if (!knowledge) return knowledge.error();
  const auto library = parts::Library::open(desk.places().parts());
  if (!library) return library.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto experience = (*shop)->experience();
  if (!experience) return experience.error();
  const auto learned = (*shop)->learned();
  if (!learned) return learned.error();
  const auto own = (*shop)->own_lessons();
  if (!own) return own.error();
  const auto merged = (*shop)->merged_packs();
  if (!merged) return merged.error();
  report::KnowledgeList out;
  for (const knowledge::Pack& pack : (*knowledge)->entries().packs) out.shipped.push_back({pack.id, pack.title, "", "", pack.version, 0});
  for (const store::MergedPack& pack : *merged) out.merged.push_back({pack.id, pack.title, pack.licence, pack.when, pack.version, pack.lessons});
  for (const auto& [id, held] : experience->lessons) {
    ++(own->contains(id) ? out.own : out.others);
    out.withdrawn += held.variants.begin()->withdrawn;
    if (held.variants.size() > 1) out.conflicts.push_back(conflict_of(id, held));
  }
  add_learned(out, *learned, **knowledge);
  add_words(out, *learned, **library);
  return out;
}

Result<report::ExportedLessons> export_lessons(Desk& desk, const ExportWish& wish) {
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto experience = (*shop)->experience();
  if (!experience) return experience.error();
  const auto own = (*shop)->own_lessons();
  if (!own) return own.error();
  const auto who = (*shop)->pseudonym();
  if (!who) return who.error();
  const auto merged = (*shop)->merged_packs();
  if (!merged) return merged.error();
  knowledge::LessonPack pack;
  pack.id = wish.id.empty() ? "repairs-" + who->substr(who->find(' ') + 1) : wish.id;
  pack.title = wish.title.empty() ? "repairs of one workshop" : wish.title;
  pack.licence = wish.licence;
  pack.version = 0;
  for (const store::MergedPack& one : *merged)
    if (wish.all && one.licence != wish.licence && one.licence != "own")
      return usage(fmt::format("{} came under {}, and would go on under {}", one.id, one.licence, wish.licence), "hand on its file as it is, or name its licence");
  for (const auto& [id, held] : experience->lessons) {
    if (!wish.all && !own->contains(id)) continue;
    pack.version += held.version;  // grows with every change
    pack.experience.lessons.emplace(id, held);
    for (const Lesson& lesson : held.variants)
      if (const auto population = experience->populations.find(lesson.population); population != experience->populations.end()) pack.experience.populations.insert(*population);
  }
  if (pack.experience.lessons.empty()) return not_found("there are no lessons to hand on", "closed jobs teach: halfsplit close proven U14 --yes");
  report::ExportedLessons out{pack.id, wish.file, knowledge::write_lesson_pack(pack), pack.experience.lessons.size()};
  // What can't be read back must not be handed on.
  const auto knowledge = knowledge::Knowledge::load(desk.places().knowledge());
  if (!knowledge) return knowledge.error();
  if (const auto back = knowledge::read_lesson_pack(out.text, "the pack", **knowledge); !back) return back.error();
  if (!wish.file.empty())
    if (const Status written = write_text(wish.file, out.text, wish.replace); !written) return written.error();
  return out;
}

Result<report::Merged> merge_pack(Desk& desk, const std::string& file, bool sure) {
  const auto knowledge = knowledge::Knowledge::load(desk.places().knowledge());
  if (!knowledge) return knowledge.error();
  const auto text = read_file(file);
  if (!text) return text.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto learned = (*shop)->learned();
  if (!learned) return learned.error();
  const auto pack = knowledge::read_lesson_pack(*text, file, **knowledge, learned->populations);
  if (!pack) return pack.error();
  const auto look = (*shop)->merge(*pack, desk.now(), true);
  if (!look) return look.error();
  report::Merged out;
  out.file = file;
  out.id = pack->id;
  out.title = pack->title;
  out.licence = pack->licence;
  out.version = pack->version;
  out.fresh = look->fresh;
  out.newer = look->newer;
  out.known = look->known;
  out.older = look->older;
  for (const std::string& id : look->conflicts) {
    auto held = (*shop)->held(id);
    if (!held) return held.error();
    const knowledge::Held& told = pack->experience.lessons.at(id);
    held->variants.insert(told.variants.begin(), told.variants.end());
    out.conflicts.push_back(conflict_of(id, *held));
  }
  if (out.fresh + out.newer + out.conflicts.size() > 0) {
    auto replay = tried(desk, *pack);
    if (!replay) return replay.error();
    out.replay = std::move(replay).value();
  }
  if (out.replay && out.replay->pushed > 0 && !sure) return out;
  if (const auto done = (*shop)->merge(*pack, desk.now()); !done) return done.error();
  out.written = true;
  return out;
}

Result<report::Added> add_cases(Desk& desk, const std::vector<std::string>& files) {
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  ModelShelf shelf(desk.places());
  report::Added out;
  knowledge::LessonPack pack;
  for (const std::string& file : files) {
    const auto text = read_file(file);
    if (!text) return text.error();
    auto job = past_job(desk, *text, file, shelf);
    if (!job) return job.error();
    report::Added::Line line;
    line.file = file;
    line.machine = job->machine;
    const std::string id = knowledge::long_hash("case " + job::write_case(job::case_of(*job)));
    const auto held = (*shop)->held(id);
    if (!held) return held.error();
    line.known = !held->variants.empty() || pack.experience.lessons.contains(id);
    line.teaches = !job->lines.empty() && job->lines.back().kind == job::LineKind::close;
    if (!line.known && line.teaches) {
      const job::Line closing = job->lines.back();
      job->lines.pop_back();
      auto lessons = teaching_of(desk, *job, closing, id);
      if (!lessons) return lessons.error();
      line.teaches = lessons->has_value();
      if (line.teaches) {
        const store::Teaching& teaching = (*lessons)->teaching;
        line.blames = blames_text(teaching.lesson);
        pack.experience = knowledge::learn(std::move(pack.experience), teaching.lesson);
        pack.experience.populations.emplace(teaching.population.id, teaching.population);
      }
    }
    out.cases.push_back(std::move(line));
  }
  if (pack.experience.lessons.empty()) return out;
  pack.id = "cases-" + knowledge::long_hash(knowledge::write_lesson_pack(pack)).substr(0, 8);
  pack.title = files.size() == 1 ? "a repair told as a case" : fmt::format("{} repairs told as cases", files.size());
  pack.licence = "own";
  if (const auto done = (*shop)->merge(pack, desk.now()); !done) return done.error();
  return out;
}

}  // namespace halfsplit::app
