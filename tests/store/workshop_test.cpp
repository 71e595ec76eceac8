#include "store/workshop.h"

#include "store/database.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using bench::good;
using job::LineKind;

TEST_CASE("a new workshop is empty and whole") {
  const bench::Folder folder;
  const Workshop workshop = bench::opened(folder.path());
  CHECK(workshop.list()->empty());
  CHECK_FALSE(workshop.current()->has_value());
  CHECK(good(workshop.check()));
}

TEST_CASE("a job comes back as it was stored") {
  const bench::Folder folder;
  job::Job job = bench::job_of("Primer, no light");
  {
    Workshop workshop = bench::opened(folder.path());
    job.lines = {bench::line_of(LineKind::profile, "recent-build")};
    job.ticks = {{"proof", "picture", "2026-11-25T10:00:30Z"}};
    REQUIRE(good(workshop.create(job)));
    CHECK(job.id.number == 1);
    CHECK(workshop.current().value() == job.id);
    job::Line round = bench::reading("U5.8");
    round.records.push_back(bench::reading("U5.9").records[0]);
    REQUIRE(good(workshop.append(job, round)));
    REQUIRE(good(workshop.append(job, bench::line_of(LineKind::symptom, "no light at all"))));
    REQUIRE(good(workshop.append(job, bench::repair("U5"))));
    REQUIRE(good(workshop.tick(job, {"replace U5", "socket cleaned", "2026-11-25T10:05:00Z"})));
    CHECK(job.lines.size() == 4);
    CHECK(bench::same(workshop.load(job.id).value(), job));
  }
  const Workshop again = bench::opened(folder.path());
  const auto loaded = again.load(job.id);
  REQUIRE(loaded.ok());
  CHECK(bench::same(*loaded, job));
  CHECK(loaded->options().profile == job::Profile::recent_build);
  CHECK(loaded->lines[1].records.size() == 2);
  CHECK(good(again.check()));
}

TEST_CASE("jobs are listed and one is current") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job first = bench::job_of("first"), second = bench::job_of("second");
  REQUIRE(good(workshop.create(first)));
  REQUIRE(good(workshop.create(second)));
  REQUIRE(good(workshop.append(first, bench::line_of(LineKind::close, "proven U5 dead: done", "2026-11-26T09:00:00Z"))));
  const auto list = workshop.list();
  REQUIRE(list.ok());
  REQUIRE(list->size() == 2);
  CHECK(list->at(0).title == "first");
  CHECK(list->at(0).outcome == job::Outcome::proven);
  CHECK(list->at(0).changed == "2026-11-26T09:00:00Z");
  CHECK(list->at(0).lines == 1);
  CHECK_FALSE(list->at(0).current);
  CHECK(list->at(1).outcome == job::Outcome::open);
  CHECK(list->at(1).lines == 0);
  CHECK(list->at(1).changed.empty());
  CHECK(list->at(1).current);
  CHECK(good(workshop.use(first.id)));
  CHECK(workshop.current().value() == first.id);
  CHECK(workshop.use({7}).error().code == ErrorCode::not_found);
  CHECK(workshop.current().value() == first.id);
  CHECK(workshop.load({7}).error().code == ErrorCode::not_found);
}

TEST_CASE("undo takes lines away one by one and reopens what was closed") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("undo");
  REQUIRE(good(workshop.create(job)));
  REQUIRE(good(workshop.append(job, bench::line_of(LineKind::symptom, "no picture"))));
  REQUIRE(good(workshop.append(job, bench::repair("U14"))));
  REQUIRE(good(workshop.append(job, bench::line_of(LineKind::close, "proven U14"))));
  CHECK(workshop.append(job, bench::reading("U5.8")).error().code == ErrorCode::usage);
  CHECK(workshop.list()->at(0).outcome == job::Outcome::proven);
  const auto closing = workshop.undo(job);
  REQUIRE(closing.ok());
  CHECK(closing.value()->typed == "proven U14");
  CHECK(workshop.list()->at(0).outcome == job::Outcome::open);
  CHECK(workshop.undo(job).value()->records == bench::repair("U14").records);
  CHECK(workshop.undo(job).value()->typed == "no picture");
  CHECK(workshop.search("picture")->empty());
  CHECK(job.lines.empty());
  const std::int64_t version = job.version;
  CHECK_FALSE(workshop.undo(job).value().has_value());
  CHECK(job.version == version);
  CHECK(bench::same(workshop.load(job.id).value(), job));
  CHECK(good(workshop.check()));
  REQUIRE(good(workshop.append(job, bench::reading("U5.8"))));
  CHECK(bench::same(workshop.load(job.id).value(), job));
}

TEST_CASE("a line is resolved anew and keeps what was typed") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("revise");
  job.lines = {bench::reading("U5.8"), bench::repair("U5"), bench::reading("U5.9"), bench::line_of(LineKind::note, "four")};
  REQUIRE(good(workshop.create(job)));
  REQUIRE(good(workshop.revise(job, 0, bench::reading("U6.8").records)));
  CHECK(job.lines[0].typed == "U5.8 low");
  CHECK(job.lines[0].records == bench::reading("U6.8").records);
  REQUIRE(good(workshop.revise(job, 1, {})));
  CHECK(bench::same(workshop.load(job.id).value(), job));
  CHECK(good(workshop.check()));
  const auto database = Database::open(folder.path(), Database::Mode::existing);
  REQUIRE(database.ok());
  CHECK(database->integer("SELECT count(*) FROM repairs")->value() == 0);
  CHECK(database->integer("SELECT max(epoch) FROM events")->value() == 0);
}

TEST_CASE("epochs and repairs beside the lines say what the lines say") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("epochs");
  job.lines = {bench::reading("U5.8"), bench::repair("U5")};
  REQUIRE(good(workshop.create(job)));
  REQUIRE(good(workshop.append(job, bench::reading("U5.9"))));
  job::Line two = bench::repair("U6");
  two.records.push_back(bench::repair("U7").records[0]);
  REQUIRE(good(workshop.append(job, two)));
  const auto database = Database::open(folder.path(), Database::Mode::existing);
  REQUIRE(database.ok());
  std::string epochs, parts;
  REQUIRE(database->each("SELECT epoch FROM events ORDER BY line, nr", {}, [&](const Row& row) { epochs += std::to_string(row.integer(0)); return true; }).ok());
  REQUIRE(database->each("SELECT act || ' ' || part || '.' FROM repairs ORDER BY line, nr", {}, [&](const Row& row) { parts += row.text(0); return true; }).ok());
  CHECK(epochs == "01123");
  CHECK(parts == "replaced U5.replaced U6.replaced U7.");
}

TEST_CASE("a change made elsewhere is not overwritten") {
  const bench::Folder folder;
  Workshop here = bench::opened(folder.path()), there = bench::opened(folder.path());
  job::Job mine = bench::job_of("shared");
  REQUIRE(good(here.create(mine)));
  job::Job theirs = there.load(mine.id).value();
  REQUIRE(good(there.append(theirs, bench::reading("U1.1"))));
  const job::Job before = mine;
  for (const Status& refused : {here.append(mine, bench::reading("U2.2")), here.tick(mine, {"proof", "x", ""}), here.untick(mine, "proof", "x"), here.retitle(mine, "mine"), here.rehash(mine, "B", {})}) {
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().code == ErrorCode::store);
    CHECK(refused.error().message == "job 1 was changed by another program meanwhile");
  }
  CHECK(bench::same(mine, before));
  CHECK(bench::same(here.load(mine.id).value(), theirs));
  mine = here.load(mine.id).value();
  REQUIRE(good(here.append(mine, bench::reading("U2.2"))));
  const auto late = there.undo(theirs);
  REQUIRE_FALSE(late.ok());
  CHECK(theirs.lines.size() == 1);
  CHECK(here.load(mine.id)->lines.size() == 2);
  CHECK(here.current().value() == mine.id);
}

TEST_CASE("title and hashes and ticks change") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("before");
  REQUIRE(good(workshop.create(job)));
  REQUIRE(good(workshop.retitle(job, "after")));
  REQUIRE(good(workshop.rehash(job, "B", {7, 8, 0xffffffffffffffffu})));
  REQUIRE(good(workshop.tick(job, {"proof", "b", "1"})));
  REQUIRE(good(workshop.tick(job, {"proof", "a", "2"})));
  REQUIRE(good(workshop.tick(job, {"proof", "b", "3"})));
  CHECK(job.ticks == std::vector<job::Tick>{{"proof", "b", "1"}, {"proof", "a", "2"}});
  CHECK(bench::same(workshop.load(job.id).value(), job));
  REQUIRE(good(workshop.untick(job, "proof", "b")));
  CHECK(job.ticks == std::vector<job::Tick>{{"proof", "a", "2"}});
  const job::Job loaded = workshop.load(job.id).value();
  CHECK(bench::same(loaded, job));
  CHECK(loaded.title == "after");
  CHECK(loaded.hashes.knowledge == 0xffffffffffffffffu);
}

TEST_CASE("text that attacks is only text") {
  const bench::Folder folder;
  const std::string nasty = "'; DROP TABLE jobs; -- \" ) UNION SELECT * FROM lines; \\ % ?1 :a @b $c \xf0\x9f\x94\xa7";
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of(nasty);
  job.machine = job.folder = job.revision = job.opened = nasty;
  REQUIRE(good(workshop.create(job)));
  for (const LineKind kind : {LineKind::symptom, LineKind::read, LineKind::note, LineKind::amend, LineKind::tools, LineKind::state}) {
    job::Line line = bench::line_of(kind, nasty, nasty);
    line.records.push_back({nasty, nasty, nasty});
    REQUIRE(good(workshop.append(job, line)));
  }
  job::Line repair = bench::repair("U5'); DELETE FROM jobs; --");
  repair.records.push_back({"repair", nasty, R"({"act":"'","part":"'; DROP TABLE events; --","pin":"\""})"});
  REQUIRE(good(workshop.append(job, repair)));
  REQUIRE(good(workshop.tick(job, {nasty, nasty, nasty})));
  REQUIRE(good(workshop.cache(nasty, nasty)));
  CHECK(workshop.cached(nasty).value() == nasty);
  CHECK(bench::same(workshop.load(job.id).value(), job));
  CHECK(workshop.search(nasty).ok());
  CHECK(workshop.list()->at(0).title == nasty);
  CHECK(good(workshop.check()));
}

TEST_CASE("text that can't be kept is refused and nothing is written") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("clean");
  REQUIRE(good(workshop.create(job)));
  const job::Job before = job;
  for (const std::string& bad : {std::string("a\0b", 3), std::string("a\xff"), std::string("a\nb"), std::string(5000, 'x')}) {
    job::Line line = bench::line_of(LineKind::note, "x");
    line.typed = bad;
    CHECK(workshop.append(job, line).error().code == ErrorCode::usage);
    job::Job other = bench::job_of(bad);
    CHECK(workshop.create(other).error().code == ErrorCode::usage);
    CHECK(workshop.retitle(job, bad).error().code == ErrorCode::usage);
    CHECK(workshop.tick(job, {"proof", bad, ""}).error().code == ErrorCode::usage);
  }
  for (const std::string& bad : {std::string("a\0b", 3), std::string("\xc3"), std::string(std::size_t{2} << 20, 'x')}) {
    job::Line line = bench::reading("U5.8");
    line.records[0].value = bad;
    CHECK(workshop.append(job, line).error().code == ErrorCode::usage);
  }
  job::Line empty = bench::line_of(LineKind::note, "x");
  empty.typed.clear();
  CHECK(workshop.append(job, empty).error().code == ErrorCode::usage);
  job::Job nameless = bench::job_of("no machine");
  nameless.machine.clear();
  CHECK(workshop.create(nameless).error().code == ErrorCode::usage);
  CHECK(bench::same(job, before));
  CHECK(bench::same(workshop.load(job.id).value(), job));
  CHECK(workshop.list()->size() == 1);
}

TEST_CASE("past words are found in any job") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job one = bench::job_of("one"), two = bench::job_of("two");
  REQUIRE(good(workshop.create(one)));
  REQUIRE(good(workshop.create(two)));
  REQUIRE(good(workshop.append(one, bench::line_of(LineKind::symptom, "no picture but the tone sounds"))));
  REQUIRE(good(workshop.append(one, bench::line_of(LineKind::note, "Störung: the picture rolls when warm"))));
  REQUIRE(good(workshop.append(two, bench::line_of(LineKind::symptom, "picture dark"))));
  REQUIRE(good(workshop.append(two, bench::line_of(LineKind::read, "U5.8 picture"))));
  REQUIRE(good(workshop.append(two, bench::line_of(LineKind::close, "proven U14: picture is back"))));
  CHECK(workshop.search("picture")->size() == 4);
  CHECK(workshop.search("PICT")->size() == 4);
  CHECK(workshop.search("picture tone")->size() == 1);
  CHECK(workshop.search("storung")->size() == 1);
  CHECK(workshop.search("picture", 2)->size() == 2);
  CHECK(workshop.search("U14")->at(0).outcome == job::Outcome::proven);
  CHECK(workshop.search("tone")->at(0).line.kind == LineKind::symptom);
  CHECK(workshop.search("nothing of the kind")->empty());
  for (const char* typed : {"", " ", "\"", "AND", "NOT picture", "pict* OR NEAR(", "- : ^ ( )", "text:picture", "a\" OR \"b", "\xff\xfe", "rowid:1"}) {
    CAPTURE(typed);
    CHECK(workshop.search(typed).ok());
  }
  std::string many;
  for (int i = 0; i < 5000; ++i) many += "picture ";
  CHECK(workshop.search(many)->size() == 4);
}

TEST_CASE("what is cached may be dropped and no job with it") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("cached");
  REQUIRE(good(workshop.create(job)));
  const std::string bytes("\0\xff\x01 bytes", 9);
  CHECK_FALSE(workshop.cached("a")->has_value());
  REQUIRE(good(workshop.cache("a", bytes)));
  CHECK(workshop.cached("a").value() == bytes);
  REQUIRE(good(workshop.cache("a", "newer")));
  CHECK(workshop.cached("a").value() == "newer");
  REQUIRE(good(workshop.cache("empty", "")));
  CHECK(workshop.cached("empty").value() == "");
  const std::string large(50000, 'x');
  for (int i = 0; i < 6; ++i) REQUIRE(good(workshop.cache("large " + std::to_string(i), large, 256000)));
  CHECK_FALSE(workshop.cached("a")->has_value());
  CHECK_FALSE(workshop.cached("large 0")->has_value());
  CHECK(workshop.cached("large 1")->has_value());
  CHECK(workshop.cached("large 5")->has_value());
  CHECK(workshop.cache("too long", std::string(std::size_t{65} << 20, 'x')).error().code == ErrorCode::store);
  REQUIRE(good(workshop.empty_cache()));
  CHECK_FALSE(workshop.cached("large 5")->has_value());
  CHECK(bench::same(workshop.load(job.id).value(), job));
}

TEST_CASE("a backup is a workshop of its own") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("kept");
  REQUIRE(good(workshop.create(job)));
  REQUIRE(good(workshop.append(job, bench::reading("U5.8"))));
  REQUIRE(good(workshop.back_up(folder.path("copy.db"))));
  CHECK(workshop.back_up(folder.path("copy.db")).error().code == ErrorCode::store);
  CHECK(workshop.back_up(folder.path("no/such/folder.db")).error().code == ErrorCode::store);
  REQUIRE(good(workshop.append(job, bench::reading("U5.9"))));
  Workshop copy = bench::opened(folder.path("copy.db"));
  job::Job old = copy.load(job.id).value();
  CHECK(old.lines.size() == 1);
  CHECK(good(copy.check()));
  CHECK(good(copy.append(old, bench::reading("U6.1"))));
  CHECK(workshop.load(job.id)->lines.size() == 2);
}
