#include "knowledge/experience.h"

#include "base/random.h"

namespace halfsplit::knowledge {
namespace {

template <class Key>
void put(std::map<Key, Micro>& sums, const Key& key, Micro count) {
  if (count == 0) return;
  const auto it = sums.try_emplace(key, 0).first;
  it->second += count;
  if (it->second == 0) sums.erase(it);  // what was taken back leaves no trace
}

void absorb(Held& held, const Held& other) {
  if (other.version < held.version) return;
  if (other.version > held.version) held = {other.version, {}};
  held.variants.insert(other.variants.begin(), other.variants.end());
}

}  // namespace

std::string long_hash(std::string_view text) {
  const std::uint64_t first = content_hash(text);
  return hex(first) + hex(content_hash(text, first ^ 0x9e3779b97f4a7c15ull));
}

std::string population_id(const Population& population) {
  std::string all = population.machine + '\n' + population.revision + '\n' + population.profile + '\n';
  for (const Exposure& part : population.parts)
    for (const std::string& word : {part.strand.rate_class, part.strand.technology, part.strand.type, part.strand.position, std::to_string(part.expected)}) all += word + '\t';
  return long_hash(all);
}

Experience learn(Experience experience, const Lesson& lesson) {
  absorb(experience.lessons[lesson.id], Held{lesson.version, {lesson}});
  return experience;
}

Experience unlearn(Experience experience, const std::string& id) {
  experience.lessons.erase(id);
  return experience;
}

Experience merged(Experience one, const Experience& other) {
  for (const auto& [id, held] : other.lessons) absorb(one.lessons[id], held);
  one.populations.insert(other.populations.begin(), other.populations.end());
  return one;
}

void Tally::add(const Lesson& lesson, std::int64_t parts, std::int64_t of) {
  Micro total = 0;
  for (const Blame& blame : lesson.blames) {
    const Micro count = parts * (blame.count / of);
    total += count;
    put(blamed, blame.strand, count);
    if (!blame.mode.empty()) put(modes, std::pair(blame.strand, blame.mode), count);
    for (const std::string& symptom : lesson.seen) put(symptoms, std::pair(symptom, blame.strand.rate_class), count);
  }
  put(stories, lesson.population, total);
}

void Tally::add(const Held& held) {
  for (const Lesson& lesson : held.variants) add(lesson, 1, static_cast<std::int64_t>(held.variants.size()));
}
void Tally::take_away(const Held& held) {
  for (const Lesson& lesson : held.variants) add(lesson, -1, static_cast<std::int64_t>(held.variants.size()));
}

std::map<std::string, Tally> tally_of(const Experience& experience) {
  std::map<std::string, Tally> out;
  for (const auto& [id, held] : experience.lessons)
    for (const Lesson& lesson : held.variants) out[lesson.profile].add(lesson, 1, static_cast<std::int64_t>(held.variants.size()));
  std::erase_if(out, [](const auto& of) { return of.second.empty(); });
  return out;
}

}  // namespace halfsplit::knowledge
