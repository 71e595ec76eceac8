// What closed jobs taught: written, merged, summed up.
#include <fmt/core.h>

#include "store/inside.h"
#include "store/job_rows.h"
#include "store/lesson_rows.h"

namespace halfsplit::store {

Result<std::string> Workshop::lesson_id(const job::Job& job) const {
  const auto identity = inside_->database.text("SELECT id FROM identity");
  if (!identity) return identity.error();
  if (!*identity) return store_trouble(inside_->database.path() + " is damaged: it has no identity", "keep it as it is, and go on with a copy made before");
  return knowledge::long_hash(fmt::format("{} job {} {}", **identity, job.id.number, job.opened));  // the time, for a copied workshop has the same identity
}

Result<std::string> Workshop::pseudonym() const {
  const auto identity = inside_->database.text("SELECT id FROM identity");
  if (!identity) return identity.error();
  return "workshop " + knowledge::long_hash("who " + identity->value_or("")).substr(0, 8);
}

Result<std::optional<knowledge::Lesson>> Workshop::lesson_of(const job::Job& job) const { return last_taught(inside_->database, job.id); }

Result<Learned> Workshop::learned() const {
  auto moment = Transaction::begin(inside_->database, Transaction::For::reading);
  if (!moment) return moment.error();
  auto sums = read_sums(inside_->database);
  if (!sums) return sums.error();
  auto populations = read_populations(inside_->database);
  if (!populations) return populations.error();
  return Learned{*std::move(sums), *std::move(populations)};
}

Result<knowledge::Held> Workshop::held(const std::string& lesson) const { return held_lesson(inside_->database, lesson); }

Result<knowledge::Experience> Workshop::experience() const {
  auto moment = Transaction::begin(inside_->database, Transaction::For::reading);
  if (!moment) return moment.error();
  return read_experience(inside_->database);
}

Result<MergeReport> Workshop::merge(const knowledge::LessonPack& pack, const std::string& when, bool only_look) {
  MergeReport out;
  auto change = Transaction::begin(inside_->database, only_look ? Transaction::For::reading : Transaction::For::writing);
  if (!change) return change.error();
  const auto count = [&](const std::string& id, Absorbed how) {
    if (how == Absorbed::fresh) ++out.fresh;
    if (how == Absorbed::newer) ++out.newer;
    if (how == Absorbed::known) ++out.known;
    if (how == Absorbed::older) ++out.older;
    if (how == Absorbed::conflict) out.conflicts.push_back(id);
  };
  if (!only_look)
    for (const auto& [id, population] : pack.experience.populations)
      if (const Status put = put_population(inside_->database, population); !put) return put.error();
  for (const auto& [id, held] : pack.experience.lessons)
    for (const knowledge::Lesson& lesson : held.variants) {
      if (only_look) {
        const auto there = held_lesson(inside_->database, id);
        if (!there) return there.error();
        count(id, outcome_of(*there, lesson));
        continue;
      }
      const auto how = absorb_lesson(inside_->database, lesson);
      if (!how) return how.error();
      count(id, *how);
    }
  if (only_look) return out;
  const std::string hash = knowledge::long_hash(knowledge::write_lesson_pack(pack));
  const Status noted = inside_->database.run("INSERT OR IGNORE INTO packs(id, hash, version, title, licence, at, lessons) VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                                             {pack.id, hash, pack.version, pack.title, pack.licence, when, static_cast<std::int64_t>(pack.experience.lessons.size())});
  if (!noted) return noted.error();
  if (const Status done = change->commit(); !done) return done.error();
  return out;
}

Result<std::set<std::string>> Workshop::own_lessons() const {
  std::set<std::string> out;
  const Status read = inside_->database.each("SELECT DISTINCT lesson FROM taught", {}, [&](const Row& row) {
    out.insert(row.text(0));
    return true;
  });
  if (!read) return read.error();
  return out;
}

Result<std::map<std::string, std::int64_t>> Workshop::ranks() const {
  std::map<std::string, std::int64_t> out;
  const Status read = inside_->database.each("SELECT id, rank FROM ranks", {}, [&](const Row& row) {
    out[row.text(0)] = row.integer(1);
    return true;
  });
  if (!read) return read.error();
  return out;
}

Status Workshop::set_ranks(const std::map<std::string, std::int64_t>& ranks) {
  auto change = Transaction::begin(inside_->database, Transaction::For::writing);
  if (!change) return change.error();
  if (const Status gone = inside_->database.run("DELETE FROM ranks"); !gone) return gone;
  for (const auto& [id, rank] : ranks)
    if (const Status put = inside_->database.run("INSERT INTO ranks(id, rank) VALUES(?1, ?2)", {id, rank}); !put) return put;
  return change->commit();
}

Result<std::vector<MergedPack>> Workshop::merged_packs() const {
  std::vector<MergedPack> out;
  const Status read = inside_->database.each("SELECT id, title, licence, at, version, lessons FROM packs ORDER BY at, id, version", {}, [&](const Row& row) {
    out.push_back({row.text(0), row.text(1), row.text(2), row.text(3), row.integer(4), static_cast<std::size_t>(row.integer(5))});
    return true;
  });
  if (!read) return read.error();
  return out;
}

}  // namespace halfsplit::store
