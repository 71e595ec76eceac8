#include "store/schema.h"

#include <fmt/core.h>
#include <unistd.h>

#include <array>

namespace halfsplit::store {
namespace {

constexpr char kFirst[] = R"(
CREATE TABLE jobs(
  id INTEGER PRIMARY KEY,
  title TEXT NOT NULL, machine TEXT NOT NULL, folder TEXT NOT NULL, revision TEXT NOT NULL, opened TEXT NOT NULL,
  board_hash TEXT NOT NULL, parts_hash TEXT NOT NULL, knowledge_hash TEXT NOT NULL,
  outcome TEXT NOT NULL, version INTEGER NOT NULL) STRICT;
CREATE TABLE lines(
  id INTEGER PRIMARY KEY,
  job INTEGER NOT NULL REFERENCES jobs(id), nr INTEGER NOT NULL CHECK(nr > 0),
  kind TEXT NOT NULL, typed TEXT NOT NULL, at TEXT NOT NULL,
  UNIQUE(job, nr)) STRICT;
CREATE TABLE events(
  line INTEGER NOT NULL REFERENCES lines(id) ON DELETE CASCADE, nr INTEGER NOT NULL CHECK(nr > 0),
  epoch INTEGER NOT NULL, kind TEXT NOT NULL, resolved TEXT NOT NULL, value TEXT NOT NULL,
  PRIMARY KEY(line, nr)) STRICT, WITHOUT ROWID;
CREATE TABLE repairs(
  line INTEGER NOT NULL, nr INTEGER NOT NULL,
  act TEXT NOT NULL, part TEXT NOT NULL, pin TEXT NOT NULL,
  PRIMARY KEY(line, nr), FOREIGN KEY(line, nr) REFERENCES events(line, nr) ON DELETE CASCADE) STRICT, WITHOUT ROWID;
CREATE INDEX repairs_by_part ON repairs(part);
CREATE TABLE ticks(
  job INTEGER NOT NULL REFERENCES jobs(id), list TEXT NOT NULL, step TEXT NOT NULL, at TEXT NOT NULL,
  PRIMARY KEY(job, list, step)) STRICT;
CREATE TABLE bench(one INTEGER PRIMARY KEY CHECK(one = 1), job INTEGER NOT NULL REFERENCES jobs(id)) STRICT;
CREATE TABLE cache(key TEXT PRIMARY KEY, bytes BLOB NOT NULL, nr INTEGER NOT NULL UNIQUE) STRICT;
CREATE VIRTUAL TABLE said USING fts5(text, tokenize = 'unicode61 remove_diacritics 2');
)";
/// What closed jobs teach. `sums` repeats what the lessons say, for a quick start; both change in one transaction.
constexpr char kLessons[] = R"(
CREATE TABLE identity(one INTEGER PRIMARY KEY CHECK(one = 1), id TEXT NOT NULL) STRICT;
INSERT INTO identity VALUES(1, lower(hex(randomblob(16))));
CREATE TABLE populations(id TEXT PRIMARY KEY, text TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE lessons(
  id TEXT NOT NULL, hash TEXT NOT NULL, version INTEGER NOT NULL CHECK(version > 0), text TEXT NOT NULL,
  PRIMARY KEY(id, hash)) STRICT, WITHOUT ROWID;
CREATE TABLE taught(
  job INTEGER NOT NULL REFERENCES jobs(id), nr INTEGER NOT NULL CHECK(nr > 0), lesson TEXT NOT NULL, text TEXT NOT NULL,
  PRIMARY KEY(job, nr)) STRICT, WITHOUT ROWID;
CREATE TABLE packs(id TEXT NOT NULL, hash TEXT NOT NULL, version INTEGER NOT NULL, title TEXT NOT NULL, licence TEXT NOT NULL, at TEXT NOT NULL, lessons INTEGER NOT NULL,
  PRIMARY KEY(id, hash)) STRICT, WITHOUT ROWID;
CREATE TABLE ranks(id TEXT PRIMARY KEY, rank INTEGER NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE sums(profile TEXT NOT NULL, kind TEXT NOT NULL, key TEXT NOT NULL, count INTEGER NOT NULL, PRIMARY KEY(profile, kind, key)) STRICT, WITHOUT ROWID;
)";
constexpr std::array<const char*, 2> kSteps = {kFirst, kLessons};
constexpr int kMostBackups = 100;

struct Marks { std::int64_t application = 0, version = 0, tables = 0; };

Result<Marks> marks_of(const Database& database) {
  Marks out;
  struct Query { const char* sql; std::int64_t* into; };
  for (const Query& query : {Query{"PRAGMA application_id", &out.application}, Query{"PRAGMA user_version", &out.version}, Query{"SELECT count(*) FROM sqlite_schema", &out.tables}}) {
    const auto value = database.integer(query.sql);
    if (!value) return value.error();
    *query.into = value->value_or(0);
  }
  return out;
}

/// The schema of the file, 0 for an empty one; refuses what isn't ours.
Result<std::int64_t> schema_of(const Database& database, std::int64_t newest) {
  const auto marks = marks_of(database);
  if (!marks) return marks.error();
  if (marks->application == 0 && marks->version == 0 && marks->tables == 0) return std::int64_t{0};
  if (marks->application != kApplicationId)
    return store_trouble(database.path() + " is a database, but not a workshop", "name another file; this one is left as it is");
  if (marks->version > newest)
    return store_trouble(fmt::format("{} was made by a newer program (schema {}; this one knows {})", database.path(), marks->version, newest), "use the newer program; the file is left as it is");
  if (marks->version < 1) return store_trouble(database.path() + " is damaged: it doesn't say its schema", "keep it as it is, and go on with a copy made before");
  return marks->version;
}

/// "workshop.db.schema-1", or with a number behind where that is taken. Read by a connection of its own: one that writes can't be copied from.
Status back_up_beside(const Database& database, std::int64_t schema) {
  const std::string first = fmt::format("{}.schema-{}", database.path(), schema);
  std::string name = first;
  for (int i = 2; ::access(name.c_str(), F_OK) == 0; ++i) {
    if (i > kMostBackups) return store_trouble(fmt::format("{} and {} more backups are there already", first, kMostBackups), "move them away");
    name = fmt::format("{}-{}", first, i);
  }
  const auto reader = Database::open(database.path(), Database::Mode::existing);
  return reader ? reader->copy_to(name) : Status(reader.error());
}

Status migrate(const Database& database, std::span<const char* const> steps) {
  auto change = Transaction::begin(database, Transaction::For::writing);
  if (!change) return change.error();
  const auto schema = schema_of(database, static_cast<std::int64_t>(steps.size()));  // again: another program may have been first
  if (!schema) return schema.error();
  if (*schema == static_cast<std::int64_t>(steps.size())) return change->commit();
  if (*schema > 0)
    if (const Status kept = back_up_beside(database, *schema); !kept) return kept.error();
  for (const char* step : steps.subspan(static_cast<std::size_t>(*schema)))
    if (const Status done = database.script(step); !done) return done.error();
  const std::string marks = fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {};", kApplicationId, steps.size());
  if (const Status done = database.script(marks.c_str()); !done) return done.error();
  return change->commit();
}

Status write_ahead(const Database& database) {
  const auto mode = database.text_with_patience("PRAGMA journal_mode = WAL");
  if (!mode) return mode.error();
  if (mode->value_or("") != "wal") return store_trouble(database.path() + " can't be kept safe where it is: no write-ahead mode there", "put it on a disk of this computer, not into a network folder");
  return Done{};
}

}  // namespace

std::span<const char* const> schema_steps() { return kSteps; }

Status bring_up_to_date(const Database& database, std::span<const char* const> steps) {
  // One look at the file: between two statements another program may be making it.
  auto look = Transaction::begin(database, Transaction::For::reading);
  if (!look) return look.error();
  const auto schema = schema_of(database, static_cast<std::int64_t>(steps.size()));
  if (!schema) return schema.error();
  if (const Status done = look->commit(); !done) return done.error();
  if (*schema < static_cast<std::int64_t>(steps.size()))
    if (const Status done = migrate(database, steps); !done) return done.error();
  return write_ahead(database);
}

}  // namespace halfsplit::store
