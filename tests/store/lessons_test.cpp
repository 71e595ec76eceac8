// What closed jobs teach: kept whole, summed rightly, taken back, merged once.
#include "base/random.h"
#include "knowledge/lesson_pack.h"
#include "store/database.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using bench::good;
using knowledge::kOne;
using knowledge::Lesson;
using knowledge::Population;

namespace {

Population desk() {
  Population out{"", "osprill-primer", "A", "aged", {}};
  for (const char* ref : {"U1", "U2", "U3"}) out.parts.push_back({{"logic", "LS", "74244", "osprill-primer", ref}, 50000});
  out.id = population_id(out);
  return out;
}

Lesson lesson(const std::string& id, const std::string& position, std::int64_t version = 1) {
  Lesson out;
  out.id = id;
  out.version = version;
  out.machine = "osprill-primer";
  out.profile = "aged";
  out.population = desk().id;
  out.ending = "proven";
  out.blames.push_back({{"logic", "LS", "74244", "osprill-primer", position}, "output-stuck-low", kOne});
  out.seen = {"it's dead', 'x'); DROP TABLE jobs; --"};
  return out;
}

knowledge::LessonPack pack_of(const std::string& id, const std::vector<Lesson>& lessons) {
  knowledge::LessonPack out{id, "pack " + id, "CC0-1.0", 1, {}};
  out.experience.populations[desk().id] = desk();
  for (const Lesson& one : lessons) out.experience = learn(std::move(out.experience), one);
  return out;
}

std::vector<Lesson> random_lessons(Random& random, std::size_t count) {
  std::vector<Lesson> out;
  for (std::size_t i = 0; i < count; ++i) out.push_back(lesson("j" + std::to_string(random.below(15)), "U" + std::to_string(1 + random.below(3)), static_cast<std::int64_t>(1 + random.below(3))));
  return out;
}

}  // namespace

TEST_CASE("a closing teaches once and undo takes it back") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("taught");
  REQUIRE(good(workshop.create(job)));
  CHECK_FALSE(workshop.lesson_of(job)->has_value());
  const Teaching told{lesson(*workshop.lesson_id(job), "U1"), desk()};
  REQUIRE(good(workshop.append(job, bench::line_of(job::LineKind::close, "proven U1 output-stuck-low"), &told)));
  REQUIRE(workshop.lesson_of(job)->has_value());
  CHECK(**workshop.lesson_of(job) == told.lesson);
  CHECK(workshop.learned()->tallies.at("aged").blamed.begin()->second == kOne);
  CHECK(good(workshop.check()));
  REQUIRE(workshop.undo(job).ok());
  CHECK(workshop.learned()->tallies.empty());
  CHECK(workshop.experience()->lessons.empty());
  CHECK_FALSE(workshop.lesson_of(job)->has_value());
  CHECK(good(workshop.check()));
}

TEST_CASE("a machine that came back takes its lesson away and undo gives it back") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("twice");
  REQUIRE(good(workshop.create(job)));
  const Teaching first{lesson(*workshop.lesson_id(job), "U1", 2), desk()};
  REQUIRE(good(workshop.append(job, bench::line_of(job::LineKind::close, "proven U1 output-stuck-low"), &first)));
  Teaching back = first;
  back.lesson.version = 3;
  back.lesson.withdrawn = true;
  back.lesson.blames.clear();
  REQUIRE(good(workshop.append(job, bench::line_of(job::LineKind::close, "came-back"), &back)));
  CHECK(workshop.learned()->tallies.empty());
  CHECK(workshop.lesson_of(job).value()->withdrawn);
  REQUIRE(workshop.undo(job).ok());
  CHECK(**workshop.lesson_of(job) == first.lesson);
  CHECK(workshop.learned()->tallies.at("aged").blamed.begin()->second == kOne);
  CHECK(good(workshop.check()));
}

TEST_CASE("a lesson of a job that was changed meanwhile is refused with its line") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("shared");
  REQUIRE(good(workshop.create(job)));
  job::Job other = workshop.load(job.id).value();
  REQUIRE(good(workshop.append(other, bench::line_of(job::LineKind::note, "somebody else was here"))));
  const Teaching told{lesson("a", "U1"), desk()};
  const Status refused = workshop.append(job, bench::line_of(job::LineKind::close, "proven U1"), &told);
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::store);
  CHECK(workshop.learned()->tallies.empty());
  CHECK(workshop.load(job.id)->lines.size() == other.lines.size());
}

TEST_CASE("two workshops give two ids to their first job") {
  const bench::Folder folder;
  const Workshop one = bench::opened(folder.path("one.db")), other = bench::opened(folder.path("two.db"));
  job::Job job = bench::job_of("first");
  job.id = {1};
  CHECK(*one.lesson_id(job) != *other.lesson_id(job));
  CHECK(*one.lesson_id(job) == *bench::opened(folder.path("one.db")).lesson_id(job));
}

TEST_CASE("packs merged in any order and twice make the same workshop as sets do") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    CAPTURE(seed);
    Random random(seed);
    std::vector<knowledge::LessonPack> packs;
    knowledge::Experience expected;
    for (int i = 0; i < 3; ++i) {
      packs.push_back(pack_of("p" + std::to_string(i), random_lessons(random, 12)));
      // A pack with a conflict inside can't be written; each lesson of it is one text.
      for (auto& [id, held] : packs.back().experience.lessons) held.variants = {*held.variants.begin()};
      expected = merged(std::move(expected), packs.back().experience);
    }
    for (const std::vector<int>& order : {std::vector<int>{0, 1, 2}, {2, 1, 0, 1}, {1, 1, 0, 2, 0}}) {
      const bench::Folder folder;
      Workshop workshop = bench::opened(folder.path());
      for (const int i : order) REQUIRE(workshop.merge(packs[static_cast<std::size_t>(i)], "2026-11-25T10:00:00Z").ok());
      CHECK(*workshop.experience() == expected);
      CHECK(workshop.learned()->tallies == tally_of(expected));
      CHECK(good(workshop.check()));
    }
  }
}

TEST_CASE("looking at a merge changes nothing and tells what it would do") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  REQUIRE(workshop.merge(pack_of("first", {lesson("a", "U1"), lesson("b", "U2")}), "").ok());
  const auto before = *workshop.experience();
  const auto report = workshop.merge(pack_of("second", {lesson("a", "U3"), lesson("b", "U2"), lesson("c", "U1")}), "", true);
  REQUIRE(report.ok());
  CHECK(report->fresh == 1);
  CHECK(report->known == 1);
  CHECK(report->conflicts == std::vector<std::string>{"a"});
  CHECK(*workshop.experience() == before);
  CHECK(workshop.merged_packs()->size() == 1);
}

TEST_CASE("sums that don't fit the lessons are found out") {
  const bench::Folder folder;
  {
    Workshop workshop = bench::opened(folder.path());
    REQUIRE(workshop.merge(pack_of("p", {lesson("a", "U1")}), "").ok());
    REQUIRE(good(workshop.check()));
  }
  const auto raw = Database::open(folder.path(), Database::Mode::existing);
  REQUIRE(good(raw->run("UPDATE sums SET count = count + 1 WHERE kind = 'blamed'")));
  const Status found = bench::opened(folder.path()).check();
  REQUIRE_FALSE(found.ok());
  CHECK(found.error().message.find("sums") != std::string::npos);
}
