// Files that are no workshop, newer ones, damaged ones, and places that can't be written: refused with a reason, never changed, never a crash.
#include <csignal>
#include <sys/resource.h>
#include <sys/stat.h>

#include "base/random.h"
#include "store/database.h"
#include "store/schema.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using bench::good;
using job::LineKind;

namespace {

/// Opening is refused, and not a byte of the folder changes.
std::string refusal(const std::string& path) {
  const std::string before = bench::bytes_of(path);
  const auto workshop = Workshop::open(path);
  REQUIRE_FALSE(workshop.ok());
  CHECK(workshop.error().code == ErrorCode::store);
  CHECK(exit_code(workshop.error().code) == 4);
  CHECK_FALSE(workshop.error().hint.empty());
  CHECK(bench::bytes_of(path) == before);
  CHECK_FALSE(std::filesystem::exists(path + "-wal"));
  CHECK_FALSE(std::filesystem::exists(path + "-journal"));
  const std::string& message = workshop.error().message;
  return message.starts_with(path) ? message.substr(path.size()) : message;
}

void run_sql(const std::string& path, const char* sql) {
  const auto database = Database::open(path, Database::Mode::create);
  REQUIRE(database.ok());
  REQUIRE(good(database->script(sql)));
}

/// A workshop with some jobs in one file, nothing beside it.
std::string filled(const bench::Folder& folder) {
  Workshop workshop = bench::opened(folder.path("origin.db"));
  for (int i = 0; i < 6; ++i) {
    job::Job job = bench::job_of("job " + std::to_string(i));
    for (int j = 0; j < 20; ++j) job.lines.push_back(j % 7 == 6 ? bench::repair("U" + std::to_string(j)) : j % 3 ? bench::reading("U5." + std::to_string(j)) : bench::line_of(LineKind::symptom, "no picture " + std::to_string(j)));
    REQUIRE(good(workshop.create(job)));
  }
  REQUIRE(good(workshop.back_up(folder.path("filled.db"))));
  return folder.path("filled.db");
}

/// Everything that reads; true when all of it was said to be good.
bool read_all(const std::string& path) {
  auto workshop = Workshop::open(path);
  if (!workshop) {
    CHECK(workshop.error().code == ErrorCode::store);
    return false;
  }
  bool whole = workshop->check().ok();
  const auto list = workshop->list();
  whole = whole && list.ok();
  for (int i = 1; i <= 6; ++i) {
    const auto job = workshop->load({i});
    if (!job) CHECK((job.error().code == ErrorCode::store || job.error().code == ErrorCode::not_found));
    whole = whole && job.ok();
  }
  return workshop->search("picture").ok() && whole;
}

/// As somebody who may not write where only its owner may.
int as_nobody(const std::function<int()>& work) {
  return bench::in_child([&] {
    if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) return 98;
    return work();
  });
}

}  // namespace

TEST_CASE("files that are no database are refused") {
  const bench::Folder folder;
  const std::string path = folder.path();
  for (const std::string& bytes : {std::string("hello"), std::string(100, 'x'), std::string(5000, '\0'), std::string("SQLite format 3"), std::string("SQLite format 3\0", 16) + std::string(5000, '\xff')}) {
    bench::write_bytes(path, bytes);
    CHECK(refusal(path) == " is not a workshop: no SQLite database");
  }
}

TEST_CASE("an empty file becomes a workshop and a missing one may be refused") {
  const bench::Folder folder;
  bench::write_bytes(folder.path(), "");
  CHECK(good(bench::opened(folder.path()).check()));
  CHECK(Workshop::open(folder.path("other.db"), Workshop::Missing::refuse).error().code == ErrorCode::not_found);
  CHECK_FALSE(std::filesystem::exists(folder.path("other.db")));
  CHECK(Workshop::open(folder.path(), Workshop::Missing::refuse).ok());
}

TEST_CASE("somebody else's database is refused") {
  const bench::Folder folder;
  run_sql(folder.path("plain.db"), "CREATE TABLE people(name TEXT)");
  CHECK(refusal(folder.path("plain.db")) == " is a database, but not a workshop");
  run_sql(folder.path("marked.db"), "PRAGMA application_id = 252006673; CREATE TABLE people(name TEXT)");
  CHECK(refusal(folder.path("marked.db")) == " is a database, but not a workshop");
  run_sql(folder.path("versioned.db"), "PRAGMA user_version = 1");
  CHECK(refusal(folder.path("versioned.db")) == " is a database, but not a workshop");
  run_sql(folder.path("bare.db"), "PRAGMA application_id = 0x48535054");
  CHECK(refusal(folder.path("bare.db")) == " is damaged: it doesn't say its schema");
  run_sql(folder.path("below.db"), "PRAGMA application_id = 0x48535054; PRAGMA user_version = -5");
  CHECK(refusal(folder.path("below.db")) == " is damaged: it doesn't say its schema");
}

TEST_CASE("a newer workshop is refused") {
  const bench::Folder folder;
  const std::string path = filled(folder);
  run_sql(path, "PRAGMA user_version = 9");
  std::filesystem::remove(path + "-wal");
  std::filesystem::remove(path + "-shm");
  const std::string message = refusal(path);
  CHECK(message.find("was made by a newer program (schema 9; this one knows 2)") != std::string::npos);
}

TEST_CASE("our mark on other tables is damage and not a crash") {
  const bench::Folder folder;
  run_sql(folder.path(), "PRAGMA application_id = 0x48535054; PRAGMA user_version = 1; CREATE TABLE jobs(id INTEGER PRIMARY KEY, title, outcome)");
  auto workshop = Workshop::open(folder.path());
  REQUIRE(workshop.ok());
  CHECK(workshop->list().error().code == ErrorCode::store);
  CHECK(workshop->load({1}).error().code == ErrorCode::store);
  CHECK(workshop->check().error().code == ErrorCode::store);
  job::Job job = bench::job_of("x");
  CHECK(workshop->create(job).error().code == ErrorCode::store);
  CHECK(job.id.number == 0);
}

TEST_CASE("rows that say nothing we know are named as damage") {
  const bench::Folder folder;
  const std::string whole = filled(folder), path = folder.path();
  for (const char* sql : {"UPDATE lines SET kind = 'wish' WHERE id = 3", "UPDATE jobs SET board_hash = 'xyz' WHERE id = 1", "UPDATE lines SET nr = 77 WHERE id = 3", "UPDATE jobs SET outcome = 'proven' WHERE id = 1",
                          "DELETE FROM said WHERE rowid = 1", "DELETE FROM repairs WHERE line = 7", "PRAGMA foreign_keys = OFF; DELETE FROM jobs WHERE id = 1"}) {
    CAPTURE(sql);
    std::filesystem::copy_file(whole, path, std::filesystem::copy_options::overwrite_existing);
    run_sql(path, sql);
    const auto workshop = Workshop::open(path);
    REQUIRE(workshop.ok());
    const Status check = workshop->check();
    REQUIRE_FALSE(check.ok());
    CHECK(check.error().message.find("is damaged") != std::string::npos);
  }
}

TEST_CASE("a truncated workshop is found out") {
  const bench::Folder folder;
  const std::string whole = filled(folder), bytes = bench::bytes_of(whole), path = folder.path();
  REQUIRE(read_all(whole));
  std::filesystem::remove(whole + "-wal");
  for (std::size_t length = 1; length < bytes.size(); length += 997) {
    CAPTURE(length);
    for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(path + tail);
    bench::write_bytes(path, bytes.substr(0, length));
    CHECK_FALSE(read_all(path));
  }
}

TEST_CASE("a workshop with changed bytes never brings the program down") {
  const bench::Folder folder;
  const std::string whole = filled(folder), path = folder.path();
  const std::string bytes = bench::bytes_of(whole);
  Random random(7);
  int found = 0;
  for (int i = 0; i < 60; ++i) {
    CAPTURE(i);
    std::string damaged = bytes;
    for (int j = 0; j < 40; ++j) damaged[100 + random.below(damaged.size() - 100)] = static_cast<char>(random.below(256));
    for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(path + tail);
    bench::write_bytes(path, damaged);
    found += !read_all(path);
  }
  CHECK(found > 30);
}

TEST_CASE("places that can't be written are refused") {
  const bench::Folder folder;
  bench::opened(folder.path());
  std::filesystem::create_directory(folder.path("shut"));
  std::filesystem::create_directory(folder.path("half"));
  bench::opened(folder.path("half/workshop.db"));
  ::chmod(folder.path("half/workshop.db").c_str(), 0666);
  for (const char* name : {"", "shut", "half"}) ::chmod(folder.path(name).c_str(), 0555);
  ::chmod(folder.path().c_str(), 0444);
  const auto refused = [&](const std::string& path) {
    return as_nobody([&] {
      const auto workshop = Workshop::open(path);
      return workshop.ok() ? 1 : exit_code(workshop.error().code);
    });
  };
  CHECK(refused(folder.path()) == 4);
  CHECK(refused(folder.path("shut/workshop.db")) == 4);
  CHECK(refused(folder.path("half/workshop.db")) == 4);
  CHECK(refused(folder.path("no/such/folder.db")) == 4);
  CHECK(refused(folder.path("shut")) == 4);
  for (const char* name : {"", "shut", "half"}) ::chmod(folder.path(name).c_str(), 0755);
  CHECK(Workshop::open("").error().code == ErrorCode::store);
  CHECK(Workshop::open(std::string("a\0b", 3)).error().code == ErrorCode::store);
  CHECK(refused(folder.path("file:x?mode=memory")) == 4);
}

TEST_CASE("a name is a name and not an address with options") {
  const bench::Folder folder;
  for (const char* name : {"file:x?mode=memory", "w%20x.db", ":memory:"}) {
    const std::string path = folder.path(name);
    bench::opened(path);
    CHECK(std::filesystem::file_size(path) > 0);
  }
}

TEST_CASE("a full disk is told and loses nothing") {
  const bench::Folder folder;
  const std::string path = folder.path();
  job::Job job = bench::job_of("full");
  {
    Workshop workshop = bench::opened(path);
    REQUIRE(good(workshop.create(job)));
  }
  const int code = bench::in_child([&] {
    auto workshop = Workshop::open(path);
    auto mine = workshop->load(job.id);
    std::signal(SIGXFSZ, SIG_IGN);
    rlimit limit{};
    ::getrlimit(RLIMIT_FSIZE, &limit);
    const rlim_t before = limit.rlim_cur;
    limit.rlim_cur = 120000;
    ::setrlimit(RLIMIT_FSIZE, &limit);
    const job::Line line = job::make_line(LineKind::note, std::string(3000, 'x')).value();
    Status status = Done{};
    for (int i = 0; i < 200 && status.ok(); ++i) status = workshop->append(*mine, line);
    if (status.ok() || status.error().code != ErrorCode::store) return 1;
    if (!bench::same(workshop->load(job.id).value(), *mine)) return 2;
    if (mine->lines.empty()) return 3;
    limit.rlim_cur = before;
    ::setrlimit(RLIMIT_FSIZE, &limit);
    if (!workshop->append(*mine, line).ok()) return 4;
    return bench::same(workshop->load(job.id).value(), *mine) && workshop->check().ok() ? 0 : 5;
  });
  CHECK(code == 0);
  const Workshop workshop = bench::opened(path);
  CHECK(good(workshop.check()));
  const job::Job after = workshop.load(job.id).value();
  CHECK(after.version == static_cast<std::int64_t>(after.lines.size()) + 1);
}
