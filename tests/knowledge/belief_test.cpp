#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/random.h"
#include "knowledge/belief.h"
#include "knowledge/experience.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::knowledge;

namespace {

Strand at(const std::string& position) { return {position[0] == 'U' ? "logic" : "DRAM", position[0] == 'U' ? "LS" : "", position[0] == 'U' ? "74244" : "4164", "desk", position}; }

Population desk() {
  Population out{"", "desk", "1", "aged", {}};
  for (int i = 1; i <= 20; ++i) out.parts.push_back({at("D" + std::to_string(i)), 40000});
  for (int i = 1; i <= 20; ++i) out.parts.push_back({at("U" + std::to_string(i)), 40000});
  std::sort(out.parts.begin(), out.parts.end());
  out.id = population_id(out);
  return out;
}

Lesson lesson(const std::string& id, const std::string& position, Micro count = kOne, const std::string& mode = "output-stuck-low") {
  Lesson out;
  out.id = id;
  out.machine = "desk";
  out.profile = "aged";
  out.population = desk().id;
  out.ending = "proven";
  out.blames.push_back({at(position), mode, count});
  out.seen = {"checkerboard"};
  return out;
}

Experience of(const std::vector<Lesson>& lessons) {
  Experience out;
  out.populations[desk().id] = desk();
  for (const Lesson& one : lessons) out = learn(std::move(out), one);
  return out;
}

Beliefs beliefs(const Experience& experience) { return believe(tally_of(experience)["aged"], experience.populations, *shipped(), "aged"); }

std::vector<Lesson> random_lessons(Random& random, std::size_t count) {
  std::vector<Lesson> out;
  for (std::size_t i = 0; i < count; ++i) {
    Lesson one = lesson("job" + std::to_string(random.below(12)), (random.chance(0.5) ? "U" : "D") + std::to_string(1 + random.below(20)), static_cast<Micro>(1 + random.below(kOne)));
    one.version = static_cast<std::int64_t>(1 + random.below(3));
    if (random.chance(0.2)) one.profile = "recent-build";
    if (random.chance(0.1)) one.blames.clear(), one.withdrawn = true;
    out.push_back(one);
  }
  return out;
}

}  // namespace

TEST_CASE("nothing learned leaves every rate as the packs have it") {
  const Beliefs none = beliefs(of({}));
  CHECK(none.empty());
  CHECK(none.factor(at("U1")) == 1);
  CHECK(none.mode_share(at("U1"), "output-stuck-low", 0.25, 10) == 0.25);
  CHECK(none.symptom_factor("checkerboard", "logic") == 1);
}

TEST_CASE("solved repairs raise every level they speak of and the narrowest most") {
  const Beliefs learned = beliefs(of({lesson("a", "U5"), lesson("b", "U6"), lesson("c", "U7"), lesson("d", "U7")}));
  CHECK(learned.factor(at("U7")) > learned.factor(at("U5")));
  CHECK(learned.factor(at("U5")) > learned.factor(at("U8")));
  CHECK(learned.factor(at("U8")) > 1);
  CHECK(learned.factor(at("D1")) < 1);
  const auto levels = learned.levels(at("U7"));
  REQUIRE(levels.size() == 5);
  for (const LevelBelief& level : levels) CHECK(level.factor > 1);
  CHECK(levels[0].counted == doctest::Approx(4));
  CHECK(levels[4].counted == doctest::Approx(2));
}

TEST_CASE("one position alone does not speak for its class") {
  const Beliefs learned = beliefs(of({lesson("a", "U5"), lesson("b", "U5"), lesson("c", "U5")}));
  CHECK(learned.factor(at("U5")) > 5);
  CHECK(learned.factor(at("U6")) < 1.2);
}

TEST_CASE("half a count teaches less than a whole one") {
  const double half = beliefs(of({lesson("a", "U5", kOne / 2), lesson("b", "D3")})).factor(at("U5"));
  const double full = beliefs(of({lesson("a", "U5"), lesson("b", "D3")})).factor(at("U5"));
  const double none = beliefs(of({lesson("b", "D3")})).factor(at("U5"));
  CHECK(none < half);
  CHECK(half < full);
}

TEST_CASE("a position that fails again and again is taken for a design error and its class is not") {
  std::vector<Lesson> lessons;
  for (int i = 0; i < 20; ++i) lessons.push_back(lesson("e" + std::to_string(i), "U5"));
  for (int i = 0; i < 40; ++i) lessons.push_back(lesson("o" + std::to_string(i), (i % 2 ? "U" : "D") + std::to_string(1 + i / 2)));
  const Beliefs learned = beliefs(of(lessons));
  CHECK(learned.factor(at("U5")) > 8);
  CHECK(learned.factor(at("U9")) / learned.factor(at("D9")) > 0.6);
  CHECK(learned.factor(at("U9")) / learned.factor(at("D9")) < 1.5);
}

TEST_CASE("the factors account for what was counted") {
  std::vector<Lesson> lessons;
  for (int i = 0; i < 400; ++i) lessons.push_back(lesson("j" + std::to_string(i), (i % 4 ? "U" : "D") + std::to_string(1 + i % 20)));
  const Beliefs learned = beliefs(of(lessons));
  double logic = 0, memory = 0;
  for (int i = 1; i <= 20; ++i) {
    logic += learned.factor(at("U" + std::to_string(i)));
    memory += learned.factor(at("D" + std::to_string(i)));
  }
  CHECK(logic / memory == doctest::Approx(3).epsilon(0.1));
}

TEST_CASE("modes that were told gain share and shares stay shares") {
  const Beliefs learned = beliefs(of({lesson("a", "U5", kOne, "leaks-when-warm"), lesson("b", "U6", kOne, "output-stuck-low")}));
  double sum = 0;
  for (const auto& [mode, share] : std::map<std::string, double>{{"leaks-when-warm", 0}, {"output-stuck-low", 0.3}, {"rest", 0.7}}) sum += learned.mode_share(at("U7"), mode, share, 10);
  CHECK(sum == doctest::Approx(1));
  CHECK(learned.mode_share(at("U7"), "output-stuck-low", 0.3, 10) > 0.3);
  CHECK(learned.told_modes("logic").at("leaks-when-warm") == doctest::Approx(1));
}

TEST_CASE("a symptom points at the class that was found behind it and never by more than three to one") {
  std::vector<Lesson> lessons;
  for (int i = 0; i < 30; ++i) lessons.push_back(lesson("s" + std::to_string(i), "D1"));
  for (int i = 0; i < 30; ++i) {
    lessons.push_back(lesson("t" + std::to_string(i), "U1"));
    lessons.back().seen = {"no-sync"};
  }
  const Beliefs learned = beliefs(of(lessons));
  CHECK(learned.symptom_factor("checkerboard", "DRAM") > 1.3);
  CHECK(learned.symptom_factor("checkerboard", "logic") < 0.7);
  CHECK(learned.symptom_factor("checkerboard", "logic") >= 1.0 / 3);
  CHECK(learned.symptom_factor("never told", "logic") == 1);
}

TEST_CASE("what the state of a function says is left to the model and only the words count") {
  std::vector<Lesson> lessons;
  for (int i = 0; i < 30; ++i) {
    lessons.push_back(lesson("s" + std::to_string(i), "D1"));  // a wrong picture, always called the same
    lessons.push_back(lesson("t" + std::to_string(i), "U1"));
    lessons.back().seen = {"no-sound"};
  }
  const Beliefs learned = beliefs(of(lessons));
  CHECK(learned.symptom_factor("checkerboard", "DRAM") == doctest::Approx(1));
  CHECK(learned.symptom_factor("no-sound", "logic") == doctest::Approx(1));
}

TEST_CASE("learning gives the same in any order and can be taken back to the last digit") {
  for (std::uint64_t seed = 1; seed <= 50; ++seed) {
    CAPTURE(seed);
    Random random(seed);
    std::vector<Lesson> lessons = random_lessons(random, 20);
    const Experience one = of(lessons);
    for (std::size_t i = lessons.size(); i > 1; --i) std::swap(lessons[i - 1], lessons[random.below(i)]);
    const Experience other = of(lessons);
    CHECK(one == other);
    CHECK(tally_of(one) == tally_of(other));
    const Experience more = learn(one, lesson("new", "U3"));
    CHECK(unlearn(more, "new") == one);
    CHECK(tally_of(unlearn(more, "new")) == tally_of(one));
    Tally running = tally_of(more)["aged"];
    running.take_away(more.lessons.at("new"));
    CHECK(running == tally_of(one)["aged"]);
  }
}

TEST_CASE("merging is idempotent and commutative and associative") {
  for (std::uint64_t seed = 1; seed <= 100; ++seed) {
    CAPTURE(seed);
    Random random(seed);
    const Experience a = of(random_lessons(random, 10)), b = of(random_lessons(random, 10)), c = of(random_lessons(random, 10));
    CHECK(merged(a, a) == a);
    CHECK(merged(a, b) == merged(b, a));
    CHECK(merged(merged(a, b), c) == merged(a, merged(b, c)));
    CHECK(merged(merged(a, b), b) == merged(a, b));
  }
}

TEST_CASE("two texts of one version stand side by side and count half each until a later one comes") {
  Experience both = of({lesson("a", "U5"), lesson("a", "U6")});
  CHECK(both.lessons.at("a").variants.size() == 2);
  CHECK(tally_of(both)["aged"].blamed.at(at("U5")) == kOne / 2);
  Lesson later = lesson("a", "U6");
  later.version = 2;
  both = learn(both, later);
  CHECK(both.lessons.at("a").variants.size() == 1);
  CHECK(tally_of(both)["aged"].blamed.count(at("U5")) == 0);
}
