#include "store/job_rows.h"

#include <fmt/core.h>

#include <charconv>

#include "base/json.h"
#include "base/random.h"

namespace halfsplit::store {
namespace {

Error altered(const Database& database, std::string what) {
  return store_trouble(database.path() + " is damaged: " + std::move(what), "keep it as it is, and go on with a copy made before");
}

std::int64_t signed_of(std::size_t count) { return static_cast<std::int64_t>(count); }

/// 16 hex digits; nothing for other text.
std::optional<std::uint64_t> hash_in(const std::string& text) {
  std::uint64_t value = 0;
  const auto [end, trouble] = std::from_chars(text.data(), text.data() + text.size(), value, 16);
  if (trouble != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

Status read_head(const Database& database, job::Job& out) {
  bool there = false;
  std::string hashes[3];
  const Status read = database.each("SELECT title, machine, folder, revision, opened, board_hash, parts_hash, knowledge_hash, version FROM jobs WHERE id = ?1", {out.id.number}, [&](const Row& row) {
    there = true;
    out.title = row.text(0);
    out.machine = row.text(1);
    out.folder = row.text(2);
    out.revision = row.text(3);
    out.opened = row.text(4);
    for (int i = 0; i < 3; ++i) hashes[i] = row.text(5 + i);
    out.version = row.integer(8);
    return false;
  });
  if (!read) return read.error();
  if (!there) return not_found(fmt::format("there is no job {}", out.id.number), "job list shows those there are");
  std::uint64_t* into[3] = {&out.hashes.board, &out.hashes.parts, &out.hashes.knowledge};
  for (int i = 0; i < 3; ++i) {
    const auto value = hash_in(hashes[i]);
    if (!value) return altered(database, fmt::format("job {} has no hashes", out.id.number));
    *into[i] = *value;
  }
  return Done{};
}

/// The lines, and per line its row's id.
Status read_lines(const Database& database, job::Job& out, std::vector<std::int64_t>& ids) {
  std::optional<Error> trouble;
  const Status read = database.each("SELECT id, nr, kind, typed, at FROM lines WHERE job = ?1 ORDER BY nr", {out.id.number}, [&](const Row& row) {
    auto line = line_in(database, row.text(2), row.text(3), row.text(4));
    if (!line) trouble = line.error();
    else if (row.integer(1) != signed_of(out.lines.size()) + 1) trouble = altered(database, fmt::format("line {} of job {} is missing", out.lines.size() + 1, out.id.number));
    if (trouble) return false;
    ids.push_back(row.integer(0));
    out.lines.push_back(*std::move(line));
    return true;
  });
  if (!read) return read.error();
  return trouble ? Status(*trouble) : Status(Done{});
}

Status read_events(const Database& database, job::Job& out, const std::vector<std::int64_t>& ids) {
  std::size_t at = 0;
  bool stray = false;
  const Status read = database.each("SELECT events.line, events.kind, resolved, value FROM events JOIN lines ON lines.id = events.line WHERE lines.job = ?1 ORDER BY lines.nr, events.nr",
                                    {out.id.number}, [&](const Row& row) {
    while (at < ids.size() && ids[at] != row.integer(0)) ++at;
    stray = at == ids.size();
    if (!stray) out.lines[at].records.push_back({row.text(1), row.text(2), row.text(3)});
    return !stray;
  });
  if (!read) return read.error();
  return stray ? Status(altered(database, fmt::format("an event of job {} has no line", out.id.number))) : Status(Done{});
}

Status read_ticks(const Database& database, job::Job& out) {
  return database.each("SELECT list, step, at FROM ticks WHERE job = ?1 ORDER BY rowid", {out.id.number}, [&](const Row& row) {
    out.ticks.push_back({row.text(0), row.text(1), row.text(2)});
    return true;
  });
}

Status insert_repair(const Database& database, std::int64_t line, std::size_t nr, const job::Record& record) {
  const auto value = parse_json(record.value);
  const auto text = [&](const char* key) {
    const Json* found = value ? value->find(key) : nullptr;
    return found && found->text() ? *found->text() : std::string();
  };
  const std::string act = text("act"), part = text("part"), pin = text("pin");
  HS_REQUIRE(!act.empty() && !part.empty(), "a repair's record says what was done to which part");
  return database.run("INSERT INTO repairs(line, nr, act, part, pin) VALUES(?1, ?2, ?3, ?4, ?5)", {line, signed_of(nr), act, part, pin});
}

}  // namespace

bool is_said(job::LineKind kind) { return kind == job::LineKind::symptom || kind == job::LineKind::note || kind == job::LineKind::leave || kind == job::LineKind::close; }

std::size_t repairs_in(const std::vector<job::Line>& lines) {
  std::size_t count = 0;
  for (const job::Line& line : lines)
    for (const job::Record& record : line.records) count += record.kind == "repair";
  return count;
}

Result<job::Outcome> outcome_in(const Database& database, const std::string& word) {
  const auto outcome = job::outcome_named(word);
  return outcome ? Result<job::Outcome>(*outcome) : altered(database, fmt::format("no job ends as {:.40}", word));
}

Result<job::Line> line_in(const Database& database, const std::string& kind, std::string typed, std::string when) {
  const auto known = job::line_kind(kind);
  if (!known) return altered(database, fmt::format("no line begins with {:.40}", kind));
  job::Line out;
  out.kind = *known;
  out.typed = std::move(typed);
  out.when = std::move(when);
  return out;
}

Result<job::Job> read_job(const Database& database, job::JobId id) {
  job::Job out;
  out.id = id;
  std::vector<std::int64_t> ids;
  if (const Status read = read_head(database, out); !read) return read.error();
  if (const Status read = read_lines(database, out, ids); !read) return read.error();
  if (const Status read = read_events(database, out, ids); !read) return read.error();
  if (const Status read = read_ticks(database, out); !read) return read.error();
  return out;
}

Result<job::JobId> insert_job(const Database& database, const job::Job& job) {
  const std::string board = hex(job.hashes.board), parts = hex(job.hashes.parts), knowledge = hex(job.hashes.knowledge);
  const Status done = database.run(
      "INSERT INTO jobs(title, machine, folder, revision, opened, board_hash, parts_hash, knowledge_hash, outcome, version) VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, 1)",
      {job.title, job.machine, job.folder, job.revision, job.opened, board, parts, knowledge, std::string_view(name_of(job.ending().outcome))});
  if (!done) return done.error();
  return job::JobId{database.last_row()};
}

Status insert_line(const Database& database, job::JobId job, std::size_t nr, std::size_t epoch, const job::Line& line) {
  const Status put = database.run("INSERT INTO lines(job, nr, kind, typed, at) VALUES(?1, ?2, ?3, ?4, ?5)", {job.number, signed_of(nr), std::string_view(name_of(line.kind)), line.typed, line.when});
  if (!put) return put.error();
  const std::int64_t id = database.last_row();
  for (std::size_t i = 0; i < line.records.size(); ++i) {
    const job::Record& record = line.records[i];
    const bool repair = record.kind == "repair";
    epoch += repair;
    const Status event = database.run("INSERT INTO events(line, nr, epoch, kind, resolved, value) VALUES(?1, ?2, ?3, ?4, ?5, ?6)",
                                      {id, signed_of(i) + 1, signed_of(epoch), record.kind, record.text, record.value});
    if (!event) return event.error();
    if (const Status kept = repair ? insert_repair(database, id, i + 1, record) : Status(Done{}); !kept) return kept.error();
  }
  if (!is_said(line.kind)) return Done{};
  return database.run("INSERT INTO said(rowid, text) VALUES(?1, ?2)", {id, line.typed});
}

Status delete_line(const Database& database, job::JobId job, std::size_t nr) {
  const Status said = database.run("DELETE FROM said WHERE rowid = (SELECT id FROM lines WHERE job = ?1 AND nr = ?2)", {job.number, signed_of(nr)});
  if (!said) return said.error();
  return database.run("DELETE FROM lines WHERE job = ?1 AND nr = ?2", {job.number, signed_of(nr)});
}

Status claim(const Database& database, const job::Job& job) {
  const Status done = database.run("UPDATE jobs SET version = version + 1 WHERE id = ?1 AND version = ?2", {job.id.number, job.version});
  if (!done) return done.error();
  if (database.changes() == 1) return Done{};
  const auto version = database.integer("SELECT version FROM jobs WHERE id = ?1", {job.id.number});
  if (!version) return version.error();
  if (!*version) return not_found(fmt::format("there is no job {}", job.id.number), "job list shows those there are");
  return store_trouble(fmt::format("job {} was changed by another program meanwhile", job.id.number), "nothing was written; look at the job again and repeat the line");
}

}  // namespace halfsplit::store
