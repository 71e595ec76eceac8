#include "store/schema.h"

#include <array>

#include "store/database.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using bench::good;

namespace {

constexpr std::array<const char*, 1> kOne = {"CREATE TABLE parts(ref TEXT NOT NULL) STRICT;"};
constexpr std::array<const char*, 2> kTwo = {kOne[0], "ALTER TABLE parts ADD COLUMN note TEXT NOT NULL DEFAULT 'old'; CREATE TABLE more(x INTEGER) STRICT;"};
constexpr std::array<const char*, 3> kBroken = {kTwo[0], kTwo[1], "CREATE TABLE third(x INTEGER) STRICT; INSERT INTO parts(ref) VALUES('half'); CREATE TABLE more(x INTEGER) STRICT;"};

Database opened(const std::string& path) {
  auto database = Database::open(path, Database::Mode::create);
  REQUIRE(database.ok());
  return std::move(database).value();
}
std::int64_t number(const Database& database, const char* sql) {
  const auto value = database.integer(sql);
  REQUIRE(value.ok());
  return value->value_or(-1);
}

}  // namespace

TEST_CASE("an older schema is migrated after a backup") {
  const bench::Folder folder;
  {
    const Database old = opened(folder.path());
    REQUIRE(good(bring_up_to_date(old, kOne)));
    REQUIRE(good(old.run("INSERT INTO parts(ref) VALUES('U1')")));
  }
  const Database database = opened(folder.path());
  REQUIRE(good(bring_up_to_date(database, kTwo)));
  CHECK(number(database, "PRAGMA user_version") == 2);
  CHECK(number(database, "PRAGMA application_id") == kApplicationId);
  CHECK(database.text("SELECT ref || note FROM parts")->value() == "U1old");
  const Database backup = opened(folder.path("workshop.db.schema-1"));
  CHECK(number(backup, "PRAGMA user_version") == 1);
  CHECK(number(backup, "SELECT count(*) FROM parts") == 1);
  CHECK(number(backup, "SELECT count(*) FROM sqlite_schema WHERE name = 'more'") == 0);
  REQUIRE(good(bring_up_to_date(database, kTwo)));
  CHECK_FALSE(std::filesystem::exists(folder.path("workshop.db.schema-2")));
}

TEST_CASE("a workshop from before the lessons opens with all its jobs and a backup beside it") {
  const bench::Folder folder;
  {
    const Database old = opened(folder.path());
    REQUIRE(good(bring_up_to_date(old, schema_steps().first(1))));
    REQUIRE(good(old.run("INSERT INTO jobs VALUES(7, 'old job', 'osprill-primer', '', 'A', '', '0000000000000001', '0000000000000002', '0000000000000003', 'open', 1)")));
  }
  {
    const Workshop workshop = bench::opened(folder.path());
    CHECK(workshop.load({7})->title == "old job");
    CHECK(workshop.learned()->tallies.empty());
    CHECK(workshop.lesson_id(workshop.load({7}).value())->size() == 32);
    CHECK(good(workshop.check()));
  }
  CHECK(number(opened(folder.path("workshop.db.schema-1")), "PRAGMA user_version") == 1);
  CHECK(number(opened(folder.path()), "PRAGMA user_version") == static_cast<std::int64_t>(schema_steps().size()));
}

TEST_CASE("a migration that fails leaves the old schema and every row") {
  const bench::Folder folder;
  const Database database = opened(folder.path());
  REQUIRE(good(bring_up_to_date(database, kTwo)));
  REQUIRE(good(database.run("INSERT INTO parts(ref, note) VALUES('U1', 'a')")));
  for (int i = 0; i < 2; ++i) {
    const Status broken = bring_up_to_date(database, kBroken);
    REQUIRE_FALSE(broken.ok());
    CHECK(broken.error().code == ErrorCode::store);
    CHECK(number(database, "PRAGMA user_version") == 2);
    CHECK(number(database, "SELECT count(*) FROM parts") == 1);
    CHECK(number(database, "SELECT count(*) FROM sqlite_schema WHERE name = 'third'") == 0);
  }
  CHECK(std::filesystem::exists(folder.path("workshop.db.schema-2")));
  CHECK(std::filesystem::exists(folder.path("workshop.db.schema-2-2")));
  CHECK(good(database.run("INSERT INTO parts(ref, note) VALUES('U2', 'b')")));
}

TEST_CASE("without room for a backup nothing is migrated") {
  const bench::Folder folder;
  const Database database = opened(folder.path());
  REQUIRE(good(bring_up_to_date(database, kOne)));
  bench::write_bytes(folder.path("workshop.db.schema-1"), "mine");
  for (int i = 2; i <= 100; ++i) bench::write_bytes(folder.path("workshop.db.schema-1-" + std::to_string(i)), "mine");
  CHECK(bring_up_to_date(database, kTwo).error().code == ErrorCode::store);
  CHECK(number(database, "PRAGMA user_version") == 1);
  CHECK(bench::bytes_of(folder.path("workshop.db.schema-1")) == "mine");
}

TEST_CASE("every guard is set at opening") {
  const bench::Folder folder;
  const Database database = opened(folder.path());
  REQUIRE(good(bring_up_to_date(database, kOne)));
  CHECK(number(database, "PRAGMA foreign_keys") == 1);
  CHECK(number(database, "PRAGMA trusted_schema") == 0);
  CHECK(number(database, "PRAGMA cell_size_check") == 1);
  CHECK(number(database, "PRAGMA synchronous") == 2);
  CHECK(number(database, "PRAGMA busy_timeout") == 5000);
  CHECK(database.text("PRAGMA journal_mode")->value() == "wal");
  CHECK_FALSE(database.run("SELECT \"U1\"").ok());                                   // text in double quotes is a name
  CHECK_FALSE(database.run("UPDATE sqlite_schema SET sql = ''").ok());               // defensive
  CHECK_FALSE(database.run("INSERT INTO parts(ref) VALUES(x'00')").ok());            // strict tables
  CHECK_FALSE(database.run("ATTACH 'other.db' AS other").ok());
  CHECK_FALSE(database.run("SELECT load_extension('x')").ok());
  CHECK_FALSE(std::filesystem::exists("other.db"));
}

TEST_CASE("a transaction that isn't committed is undone") {
  const bench::Folder folder;
  const Database database = opened(folder.path());
  REQUIRE(good(bring_up_to_date(database, kOne)));
  {
    auto change = Transaction::begin(database, Transaction::For::writing);
    REQUIRE(change.ok());
    REQUIRE(good(database.run("INSERT INTO parts(ref) VALUES('U1')")));
  }
  CHECK(number(database, "SELECT count(*) FROM parts") == 0);
  {
    auto change = Transaction::begin(database, Transaction::For::writing);
    REQUIRE(change.ok());
    REQUIRE(good(database.run("INSERT INTO parts(ref) VALUES('U1')")));
    REQUIRE(good(change->commit()));
  }
  CHECK(number(database, "SELECT count(*) FROM parts") == 1);
}

TEST_CASE("a kill during a migration leaves the old schema or the new one") {
  const bench::Folder folder(bench::Folder::In::memory);
  std::string fill = "ALTER TABLE parts ADD COLUMN note TEXT NOT NULL DEFAULT 'old';";
  for (int i = 0; i < 60; ++i) fill += "CREATE TABLE t" + std::to_string(i) + "(x INTEGER) STRICT; INSERT INTO t" + std::to_string(i) + " VALUES(1);";
  const std::array<const char*, 2> steps = {kOne[0], fill.c_str()};
  int migrated = 0;
  for (int round = 0; round < 12; ++round) {
    const std::string path = folder.path("round" + std::to_string(round) + ".db");
    {
      const Database old = opened(path);
      REQUIRE(good(bring_up_to_date(old, kOne)));
      REQUIRE(good(old.run("INSERT INTO parts(ref) VALUES('U1')")));
    }
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      const auto database = Database::open(path, Database::Mode::existing);
      ::_exit(database.ok() && bring_up_to_date(*database, steps).ok() ? 0 : 1);
    }
    ::usleep(static_cast<useconds_t>(round * 1500));
    ::kill(child, SIGKILL);
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    const Database after = opened(path);
    const std::int64_t tables = number(after, "SELECT count(*) FROM sqlite_schema WHERE type = 'table'"), schema = number(after, "PRAGMA user_version");
    CHECK(tables == (schema == 2 ? 61 : 1));
    CHECK(number(after, "SELECT count(*) FROM parts WHERE ref = 'U1'") == 1);
    CHECK(after.text("PRAGMA integrity_check")->value() == "ok");
    migrated += schema == 2;
    REQUIRE(good(bring_up_to_date(after, steps)));
    CHECK(number(after, "SELECT count(*) FROM sqlite_schema WHERE type = 'table'") == 61);
  }
  MESSAGE(migrated << " of 12 were migrated before the kill");
}
