// tests/measure/merge.cpp - ten packs with two thousand repairs read and merged into a workshop, in two orders and twice over.
//
// Usage:    measure_merge DATA      (DATA holds knowledge/)
// Output:   one line a run; exit 1 when a run takes over 30 s, or the orders differ, 77 without input.
#include <fmt/core.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include "base/random.h"
#include "knowledge/lesson_pack.h"
#include "store/workshop.h"

using namespace halfsplit;

namespace {

constexpr int kPacks = 10, kLessons = 200;
constexpr double kMostSeconds = 30;

knowledge::Population machine(int number) {
  knowledge::Population out{"", fmt::format("machine-{}", number), "A", "aged", {}};
  for (int i = 1; i <= 200; ++i) out.parts.push_back({{"logic", "LS", "74244", out.machine, fmt::format("U{:03}", i)}, 8000 + i});
  out.id = population_id(out);
  return out;
}

knowledge::LessonPack pack_of(int number) {
  Random random(static_cast<std::uint64_t>(number) + 1);
  knowledge::LessonPack out{fmt::format("pack-{}", number), "repairs of a club", "CC0-1.0", 1, {}};
  const knowledge::Population population = machine(number % 5);
  out.experience.populations[population.id] = population;
  for (int i = 0; i < kLessons; ++i) {
    knowledge::Lesson lesson;
    lesson.id = fmt::format("lesson-{}", random.below(kPacks * kLessons));  // some are in several packs
    lesson.machine = population.machine;
    lesson.revision = "A";
    lesson.profile = "aged";
    lesson.population = population.id;
    lesson.ending = "proven";
    lesson.version = static_cast<std::int64_t>(1 + random.below(3));
    const std::string ref = fmt::format("U{:03}", 1 + random.below(200));
    lesson.blames.push_back({{"logic", "LS", "74244", population.machine, ref}, "output-stuck-low", knowledge::kOne});
    lesson.seen = {"black-screen"};
    lesson.repair = "format 1\nmachine " + population.machine + "\n\n";
    for (int line = 0; line < 15; ++line) lesson.repair += fmt::format("read U{}.{} pulsing\n", 1 + random.below(200), 1 + random.below(20));
    lesson.repair += "repair " + ref + " replaced\nclose proven " + ref + "\n";
    out.experience = knowledge::learn(std::move(out.experience), lesson);
  }
  return out;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2 || !std::filesystem::exists(std::string(argv[1]) + "/knowledge")) {
    std::puts("skipped: no input (measure_merge DATA)");
    return 77;
  }
  const auto known = knowledge::Knowledge::load(std::string(argv[1]) + "/knowledge");
  if (!known) return std::puts(known.error().text().c_str()), 3;
  knowledge::Knowledge const& packs_of = **known;
  std::vector<std::string> texts;
  for (int i = 0; i < kPacks; ++i) texts.push_back(knowledge::write_lesson_pack(pack_of(i)));
  std::string folder = (std::filesystem::temp_directory_path() / "halfsplit-merge-XXXXXX").string();
  if (!mkdtemp(folder.data())) return 70;
  bool good = true;
  std::vector<knowledge::Experience> results;
  for (const bool backwards : {false, true}) {
    const auto start = std::chrono::steady_clock::now();
    auto workshop = store::Workshop::open(folder + (backwards ? "/back.db" : "/forth.db"));
    std::size_t lessons = 0;
    for (int i = 0; i < kPacks && workshop; ++i) {
      const auto pack = knowledge::read_lesson_pack(texts[static_cast<std::size_t>(backwards ? kPacks - 1 - i : i)], "pack", packs_of);
      if (!pack) return std::puts(pack.error().text().c_str()), 3;
      lessons += pack->experience.lessons.size();
      if (const auto done = workshop->merge(*pack, ""); !done) return std::puts(done.error().text().c_str()), 4;
    }
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    results.push_back(*workshop->experience());
    std::printf("%s: %d packs, %zu lessons, %zu different, %.2f s, check %s\n", backwards ? "backwards" : "in order", kPacks, lessons, results.back().lessons.size(), seconds, workshop->check().ok() ? "good" : "BAD");
    good = good && seconds <= kMostSeconds && workshop->check().ok();
  }
  good = good && results[0] == results[1];
  std::printf("both orders give %s\n", results[0] == results[1] ? "the same" : "DIFFERENT lessons");
  std::error_code ignored;
  std::filesystem::remove_all(folder, ignored);
  return good ? 0 : 1;
}
