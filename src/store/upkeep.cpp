// Backups, and a look over the whole file.
#include <fmt/core.h>

#include "store/inside.h"
#include "store/job_rows.h"
#include "store/lesson_rows.h"

namespace halfsplit::store {
namespace {

Error damaged(const Database& database, const std::string& what) {
  return store_trouble(fmt::format("{} is damaged: {}", database.path(), what), "keep it as it is, and go on with a copy made before");
}

/// The first row of a query that should give none, or only "ok".
Status no_complaint(const Database& database, const char* sql) {
  const auto first = database.text(sql);
  if (!first) return first.error();
  return !*first || **first == "ok" ? Status(Done{}) : Status(damaged(database, **first));
}

}  // namespace

Status Workshop::back_up(const std::string& path) const { return inside_->database.copy_to(path); }

Status Workshop::check() const {
  const Database& database = inside_->database;
  auto moment = Transaction::begin(database, Transaction::For::writing);  // the full-text index is checked by a writing statement
  if (!moment) return moment.error();
  for (const char* sql : {"PRAGMA integrity_check", "PRAGMA foreign_key_check", "INSERT INTO said(said) VALUES('integrity-check')",
                          "SELECT 'a line can''t be found by its words' FROM lines WHERE (kind IN ('symptom', 'note', 'close')) <> (id IN (SELECT rowid FROM said))",
                          "SELECT 'words of no line' FROM said WHERE rowid NOT IN (SELECT id FROM lines)",
                          "SELECT 'a repair has no event' FROM events LEFT JOIN repairs USING(line, nr) WHERE (kind = 'repair') <> (act IS NOT NULL)"})
    if (const Status good = no_complaint(database, sql); !good) return good.error();
  const auto experience = read_experience(database);
  if (!experience) return experience.error();
  const auto sums = read_sums(database);
  if (!sums) return sums.error();
  if (*sums != knowledge::tally_of(*experience)) return damaged(database, "the sums are not those of its lessons");
  std::vector<job::JobId> ids;
  const Status read = database.each("SELECT id FROM jobs", {}, [&](const Row& row) {
    ids.push_back({row.integer(0)});
    return true;
  });
  if (!read) return read.error();
  for (const job::JobId id : ids) {
    const auto job = read_job(database, id);
    if (!job) return job.error();
    const auto outcome = database.text("SELECT outcome FROM jobs WHERE id = ?1", {id.number});
    if (!outcome) return outcome.error();
    if (outcome->value_or("") != name_of(job->ending().outcome)) return damaged(database, fmt::format("job {} ended otherwise than its lines say", id.number));
  }
  return Done{};
}

}  // namespace halfsplit::store
