// Packs of lessons: read back as written, and refused with place and reason.
#include "support.h"

#include <functional>

#include "base/random.h"
#include "knowledge/lesson_pack.h"

using namespace halfsplit;
using namespace halfsplit::knowledge;

namespace {

Population desk() {
  Population out{"", "desk", "1", "aged", {}};
  out.parts.push_back({{"logic", "LS", "74244", "desk", "U1"}, 50000});
  out.parts.push_back({{"outside", "", "", "desk", ""}, 200000});
  out.id = population_id(out);
  return out;
}

LessonPack sample() {
  LessonPack out{"club", "repairs of the club", "CC-BY-4.0", 3, {}};
  out.experience.populations[desk().id] = desk();
  Lesson lesson;
  lesson.id = "aa";
  lesson.version = 2;
  lesson.machine = "desk";
  lesson.revision = "1";
  lesson.profile = "aged";
  lesson.population = desk().id;
  lesson.ending = "working-unproven";
  lesson.blames.push_back({{"logic", "LS", "74244", "desk", "U1"}, "output-stuck-low", 333333});
  lesson.blames.push_back({{"outside", "", "", "desk", ""}, "", 1});
  lesson.seen = {"no-picture", "quote \" and \\ and 'tick'; DROP TABLE lessons; --"};
  lesson.repair = "format 1\nmachine desk\n\nsymptom \"odd\"\n";
  out.experience = learn(std::move(out.experience), lesson);
  lesson.id = "bb";
  lesson.version = 7;
  lesson.withdrawn = true;
  lesson.blames.clear();
  out.experience = learn(std::move(out.experience), lesson);
  return out;
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const std::size_t at = text.find(what);
  REQUIRE(at != std::string::npos);
  return text.replace(at, what.size(), by);
}

}  // namespace

TEST_CASE("a pack is read back as it was written and written the same again") {
  const std::string text = write_lesson_pack(sample());
  const auto read = read_lesson_pack(text, "club.toml", *shipped());
  REQUIRE_MESSAGE(read.ok(), (read.ok() ? "" : read.error().text()));
  CHECK(read->experience == sample().experience);
  CHECK(write_lesson_pack(*read) == text);
}

TEST_CASE("a pack with anything wrong is refused with its place and the reason") {
  const std::string text = write_lesson_pack(sample());
  struct Wrong { const char* what; const char* by; const char* reason; };
  const Wrong all[] = {
      {"count = 0.333333", "count = -1", "must lie between"},
      {"count = 0.333333", "count = 1000000", "must lie between"},
      {"count = 0.333333", "count = \"one\"", "number"},
      {"count = 0.333333", "count = nan", ""},
      {"class = \"logic\"", "class = \"logik\"", "did you mean \"logic\""},
      {"profile = \"aged\"", "profile = \"old\"", ""},
      {"id = \"aa\"", "id = \"../../etc/passwd\"", "is no id"},
      {"id = \"aa\"", "id = \"a'; DROP TABLE lessons\"", "is no id"},
      {"id = \"bb\"", "id = \"aa\"", "given twice"},
      {"version = 2", "version = 0", "version"},
      {"version = 2", "version = 1.5", "version"},
      {"ending = \"working-unproven\"", "ending = \"won\"", "no ending"},
      {"withdrawn = true", "withdrawn = 1", "withdrawn"},
      {"expected = 0.05", "expected = 0.06", "not what its id says"},
      {"licence = \"CC-BY-4.0\"\n", "", "licence"},
      {"mode = \"output-stuck-low\"", "mode = \"a\\u0000b\"", ""},
      {"format = 1", "format = 2", "format"},
      {"[[lesson]]", "[[rate]]\nid = \"x\"\n\n[[lesson]]", "rate"},
      {"seen = [", "run = \"rm -rf /\"\nseen = [", "run"},
  };
  for (const Wrong& wrong : all) {
    CAPTURE(wrong.by);
    const auto read = read_lesson_pack(replaced(text, wrong.what, wrong.by), "club.toml", *shipped());
    REQUIRE_FALSE(read.ok());
    CHECK(read.error().code == ErrorCode::bad_input);
    CHECK(read.error().text().find("club.toml:") != std::string::npos);
    CHECK_MESSAGE(read.error().text().find(wrong.reason) != std::string::npos, read.error().text());
  }
}

TEST_CASE("a lesson without its population is refused unless it is known at home") {
  LessonPack bare = sample();
  bare.experience.populations.clear();
  const std::string text = write_lesson_pack(bare);
  CHECK_FALSE(read_lesson_pack(text, "p", *shipped()).ok());
  CHECK(read_lesson_pack(text, "p", *shipped(), sample().experience.populations).ok());
}

TEST_CASE("ten million entries are refused before they are parsed") {
  std::string text = "format = 1\nid = \"big\"\ntitle = \"t\"\nversion = 1\nlicence = \"l\"\nlesson = [\n";
  for (int i = 0; i < 10000000; ++i) text += "{},\n";
  const auto read = read_lesson_pack(text + "]\n", "big.toml", *shipped());
  REQUIRE_FALSE(read.ok());
  CHECK(read.error().code == ErrorCode::bad_input);
  CHECK(read.error().text().find("big.toml") != std::string::npos);
}

TEST_CASE("damaged packs never bring the reader down") {
  const std::string text = write_lesson_pack(sample());
  Random random(77);
  int good = 0;
  for (int i = 0; i < 3000; ++i) {
    std::string damaged = text;
    for (std::uint64_t k = 1 + random.below(3); k > 0; --k) damaged[random.below(damaged.size())] = static_cast<char>(random.below(256));
    const auto read = read_lesson_pack(damaged, "p", *shipped());
    good += read.ok();
    if (!read.ok()) CHECK(read.error().place.known());
  }
  CHECK(good < 3000);
}
