#include "store/workshop.h"

#include <fmt/core.h>
#include <unistd.h>

#include <algorithm>

#include "base/random.h"
#include "base/scan.h"
#include "store/inside.h"
#include "store/job_rows.h"
#include "store/lesson_rows.h"
#include "store/schema.h"

namespace halfsplit::store {
namespace {

constexpr std::size_t kLongestRecord = std::size_t{1} << 20;

/// What the job module would make of it, and nothing else.
Status check_line(const job::Line& line) {
  const auto typed = job::make_line(line.kind, line.typed);
  if (!typed) return typed.error();
  if (typed->typed != line.typed) return usage("the line holds line ends or blanks at its ends", "make_line() makes lines");
  if (const auto when = job::one_line(line.when, "time"); !when) return when.error();
  for (const job::Record& record : line.records)
    for (const std::string* text : {&record.kind, &record.text, &record.value})
      if (text->size() > kLongestRecord || text->find('\0') != std::string::npos || utf8_length(*text) != text->size())
        return usage("a record of the line can't be kept as text", "type the line again in plain text");
  return Done{};
}

Status check_text(const std::string& text, const char* what) {
  const auto clean = job::one_line(text, what);
  if (!clean) return clean.error();
  return *clean == text ? Status(Done{}) : Status(usage(fmt::format("the {} isn't one line of text", what), "leave out line ends, and blanks at its ends"));
}

Status check_head(const job::Job& job) {
  if (job.machine.empty()) return usage("the job has no machine", "job open and the machine's id");
  struct Field { const std::string& text; const char* what; };
  for (const Field& field : {Field{job.title, "title"}, Field{job.machine, "machine"}, Field{job.folder, "folder"}, Field{job.revision, "revision"}, Field{job.opened, "time"}})
    if (const Status good = check_text(field.text, field.what); !good) return good.error();
  return Done{};
}

Status put_lines(const Database& database, const job::Job& job, job::JobId id) {
  std::vector<job::Line> before;
  for (std::size_t i = 0; i < job.lines.size(); ++i) {
    if (const Status put = insert_line(database, id, i + 1, repairs_in(before), job.lines[i]); !put) return put.error();
    before.push_back(job.lines[i]);
  }
  for (const job::Tick& tick : job.ticks) {
    const Status put = database.run("INSERT OR IGNORE INTO ticks(job, list, step, at) VALUES(?1, ?2, ?3, ?4)", {id.number, tick.list, tick.step, tick.when});
    if (!put) return put.error();
  }
  return Done{};
}

Status set_current(const Database& database, job::JobId id) {
  return database.run("INSERT INTO bench(one, job) VALUES(1, ?1) ON CONFLICT(one) DO UPDATE SET job = excluded.job", {id.number});
}

Status set_outcome(const Database& database, job::JobId id, const std::vector<job::Line>& lines) {
  return database.run("UPDATE jobs SET outcome = ?2 WHERE id = ?1", {id.number, std::string_view(name_of(job::ending_of(lines).outcome))});
}

/// What the job's last line taught goes with the line; what an earlier line taught counts again.
Status forget_lesson(const Database& database, const job::Job& job) {
  const auto lesson = database.text("SELECT lesson FROM taught WHERE job = ?1 AND nr = ?2", {job.id.number, static_cast<std::int64_t>(job.lines.size())});
  if (!lesson) return lesson.error();
  if (!*lesson) return Done{};
  if (const Status gone = drop_lesson(database, **lesson); !gone) return gone;
  if (const Status gone = database.run("DELETE FROM taught WHERE job = ?1 AND nr = ?2", {job.id.number, static_cast<std::int64_t>(job.lines.size())}); !gone) return gone;
  const auto before = last_taught(database, job.id);
  if (!before) return before.error();
  if (!*before) return Done{};
  const auto counted = absorb_lesson(database, **before);
  return counted ? Status(Done{}) : Status(counted.error());
}

/// Lines from `first` on are written anew.
Status rewrite_from(const Database& database, const job::Job& job, std::size_t first) {
  std::vector<job::Line> before(job.lines.begin(), job.lines.begin() + static_cast<std::ptrdiff_t>(first));
  for (std::size_t i = first; i < job.lines.size(); ++i) {
    if (const Status gone = delete_line(database, job.id, i + 1); !gone) return gone.error();
    if (const Status put = insert_line(database, job.id, i + 1, repairs_in(before), job.lines[i]); !put) return put.error();
    before.push_back(job.lines[i]);
  }
  return Done{};
}

}  // namespace

Workshop::Workshop(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Workshop::Workshop(Workshop&&) noexcept = default;
Workshop& Workshop::operator=(Workshop&&) noexcept = default;
Workshop::~Workshop() = default;

Result<Workshop> Workshop::open(const std::string& path, Missing missing) {
  if (missing == Missing::refuse && ::access(path.c_str(), F_OK) != 0) return not_found("there is no workshop " + path, "check the name");
  auto database = Database::open(path, missing == Missing::create ? Database::Mode::create : Database::Mode::existing);
  if (!database) return database.error();
  if (const Status ready = bring_up_to_date(*database, schema_steps()); !ready) return ready.error();
  return Workshop(std::make_unique<Inside>(Inside{*std::move(database)}));
}

/// Runs `write` as one change of the job and keeps the copy in step.
template <class Write>
Status Workshop::Inside::change(job::Job& job, Write write) const {
  auto change = Transaction::begin(database, Transaction::For::writing);
  if (!change) return change.error();
  if (const Status mine = claim(database, job); !mine) return mine.error();
  if (const Status written = write(); !written) return written.error();
  if (const Status done = change->commit(); !done) return done.error();
  ++job.version;
  return Done{};
}

Status Workshop::create(job::Job& job) {
  const Database& database = inside_->database;
  if (const Status good = check_head(job); !good) return good.error();
  for (const job::Line& line : job.lines)
    if (const Status good = check_line(line); !good) return good.error();
  for (const job::Tick& tick : job.ticks)
    for (const std::string* text : {&tick.list, &tick.step, &tick.when})
      if (const Status good = check_text(*text, "tick"); !good) return good.error();
  auto change = Transaction::begin(database, Transaction::For::writing);
  if (!change) return change.error();
  const auto id = insert_job(database, job);
  if (!id) return id.error();
  if (const Status put = put_lines(database, job, *id); !put) return put.error();
  if (const Status put = set_current(database, *id); !put) return put.error();
  if (const Status done = change->commit(); !done) return done.error();
  job.id = *id;
  job.version = 1;
  return Done{};
}

Result<std::vector<job::Record>> Workshop::good_readings(const std::string& machine, job::JobId except) const {
  std::vector<job::Record> out;
  const Status read = inside_->database.each(
      "SELECT events.kind, events.resolved, events.value FROM events JOIN lines ON lines.id = events.line JOIN jobs ON jobs.id = lines.job "
      "WHERE jobs.machine = ?1 AND jobs.id <> ?2 AND events.kind = 'observation' AND instr(events.value, '\"on\":\"good\"') > 0 ORDER BY lines.id, events.nr",
      {std::string_view(machine), except.number}, [&](const Row& row) {
        out.push_back({row.text(0), row.text(1), row.text(2)});
        return true;
      });
  if (!read) return read.error();
  return out;
}

Result<std::vector<Summary>> Workshop::list() const {
  std::vector<Summary> out;
  std::optional<Error> trouble;
  const Status read = inside_->database.each(
      "SELECT id, title, machine, revision, opened, outcome, (SELECT count(*) FROM lines WHERE job = jobs.id), (SELECT at FROM lines WHERE job = jobs.id ORDER BY nr DESC LIMIT 1), "
      "id = (SELECT job FROM bench) FROM jobs ORDER BY id",
      {}, [&](const Row& row) {
        const auto outcome = outcome_in(inside_->database, row.text(5));
        if (!outcome) trouble = outcome.error();
        else out.push_back({{row.integer(0)}, row.text(1), row.text(2), row.text(3), row.text(4), row.text(7), *outcome, static_cast<std::size_t>(row.integer(6)), row.integer(8) == 1});
        return !trouble;
      });
  if (!read) return read.error();
  if (trouble) return *trouble;
  return out;
}

Result<job::Job> Workshop::load(job::JobId id) const {
  auto moment = Transaction::begin(inside_->database, Transaction::For::reading);
  if (!moment) return moment.error();
  return read_job(inside_->database, id);
}

Result<std::optional<job::JobId>> Workshop::current() const {
  const auto id = inside_->database.integer("SELECT job FROM bench");
  if (!id) return id.error();
  return *id ? std::optional(job::JobId{**id}) : std::nullopt;
}

Status Workshop::use(job::JobId id) {
  auto change = Transaction::begin(inside_->database, Transaction::For::writing);
  if (!change) return change.error();
  const auto there = inside_->database.integer("SELECT 1 FROM jobs WHERE id = ?1", {id.number});
  if (!there) return there.error();
  if (!*there) return not_found(fmt::format("there is no job {}", id.number), "job list shows those there are");
  if (const Status put = set_current(inside_->database, id); !put) return put.error();
  return change->commit();
}

Status Workshop::append(job::Job& job, job::Line line, const Teaching* teaching) {
  if (const Status good = check_line(line); !good) return good.error();
  if (const Status good = may_add(job, line); !good) return good.error();
  std::vector<job::Line> lines = job.lines;
  lines.push_back(std::move(line));
  const Status done = inside_->change(job, [&]() -> Status {
    if (const Status put = insert_line(inside_->database, job.id, lines.size(), repairs_in(job.lines), lines.back()); !put) return put.error();
    if (teaching)
      if (const Status taught = put_taught(inside_->database, job.id, lines.size(), teaching->lesson, teaching->population); !taught) return taught.error();
    return set_outcome(inside_->database, job.id, lines);
  });
  if (done) job.lines = std::move(lines);
  return done;
}

Result<std::optional<job::Line>> Workshop::undo(job::Job& job) {
  if (job.lines.empty()) return std::optional<job::Line>();
  std::vector<job::Line> lines = job.lines;
  lines.pop_back();
  const Status done = inside_->change(job, [&]() -> Status {
    if (const Status gone = delete_line(inside_->database, job.id, job.lines.size()); !gone) return gone.error();
    if (const Status untaught = forget_lesson(inside_->database, job); !untaught) return untaught;
    return set_outcome(inside_->database, job.id, lines);
  });
  if (!done) return done.error();
  std::optional<job::Line> taken = std::move(job.lines.back());
  job.lines = std::move(lines);
  return taken;
}

Status Workshop::revise(job::Job& job, std::size_t line, std::vector<job::Record> records) {
  HS_REQUIRE(line < job.lines.size(), "a line of the job is revised");
  job::Job changed = job;
  changed.lines[line].records = std::move(records);
  if (const Status good = check_line(changed.lines[line]); !good) return good.error();
  const Status done = inside_->change(changed, [&] { return rewrite_from(inside_->database, changed, line); });
  if (done) job = std::move(changed);
  return done;
}

Status Workshop::retitle(job::Job& job, std::string title) {
  if (const Status good = check_text(title, "title"); !good) return good.error();
  const Status done = inside_->change(job, [&] { return inside_->database.run("UPDATE jobs SET title = ?2 WHERE id = ?1", {job.id.number, title}); });
  if (done) job.title = std::move(title);
  return done;
}

Status Workshop::rehash(job::Job& job, std::string revision, job::Hashes hashes) {
  if (const Status good = check_text(revision, "revision"); !good) return good.error();
  const std::string board = hex(hashes.board), parts = hex(hashes.parts), knowledge = hex(hashes.knowledge);
  const Status done = inside_->change(job, [&] {
    return inside_->database.run("UPDATE jobs SET revision = ?2, board_hash = ?3, parts_hash = ?4, knowledge_hash = ?5 WHERE id = ?1", {job.id.number, revision, board, parts, knowledge});
  });
  if (!done) return done;
  job.revision = std::move(revision);
  job.hashes = hashes;
  return done;
}

Status Workshop::tick(job::Job& job, job::Tick tick) {
  for (const std::string* text : {&tick.list, &tick.step, &tick.when})
    if (const Status good = check_text(*text, "tick"); !good) return good.error();
  const auto same = [&](const job::Tick& one) { return one.list == tick.list && one.step == tick.step; };
  if (std::any_of(job.ticks.begin(), job.ticks.end(), same)) return Done{};
  const Status done = inside_->change(job, [&] {
    return inside_->database.run("INSERT INTO ticks(job, list, step, at) VALUES(?1, ?2, ?3, ?4)", {job.id.number, tick.list, tick.step, tick.when});
  });
  if (done) job.ticks.push_back(std::move(tick));
  return done;
}

Status Workshop::untick(job::Job& job, const std::string& list, const std::string& step) {
  const Status done = inside_->change(job, [&] {
    return inside_->database.run("DELETE FROM ticks WHERE job = ?1 AND list = ?2 AND step = ?3", {job.id.number, list, step});
  });
  if (done) std::erase_if(job.ticks, [&](const job::Tick& one) { return one.list == list && one.step == step; });
  return done;
}

}  // namespace halfsplit::store
