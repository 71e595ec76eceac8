#include "store/lesson_rows.h"

#include <fmt/core.h>

#include <charconv>

#include "base/text.h"
#include "knowledge/lesson_pack.h"

namespace halfsplit::store {
namespace {

using knowledge::Held;
using knowledge::Lesson;
using knowledge::Micro;
using knowledge::Strand;
using knowledge::Tally;

constexpr char kBetween = '\x1f';  // in no text of a lesson: control characters are refused

Error altered(const Database& database, const std::string& what) {
  return store_trouble(database.path() + " is damaged: " + what, "keep it as it is, and go on with a copy made before");
}

std::string key_of(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) out += (i ? std::string(1, kBetween) : std::string()) + words[i];
  return out;
}
std::vector<std::string> words_of(const Strand& strand) { return {strand.rate_class, strand.technology, strand.type, strand.machine, strand.position}; }

/// A population as lines, the machine first; read at every command, so in no dearer form.
std::string text_of(const knowledge::Population& population) {
  std::string out = key_of({population.machine, population.revision, population.profile}) + '\n';
  for (const knowledge::Exposure& part : population.parts) out += key_of({part.strand.rate_class, part.strand.technology, part.strand.type, part.strand.position, std::to_string(part.expected)}) + '\n';
  return out;
}
std::optional<knowledge::Population> population_in(const std::string& id, std::string_view text) {
  knowledge::Population out;
  out.id = id;
  for (const std::string_view line : split(text, '\n')) {
    const auto words = split(line, kBetween);
    if (out.machine.empty() && words.size() == 3) {
      out.machine = words[0];
      out.revision = words[1];
      out.profile = words[2];
    } else if (words.size() == 5) {
      Micro expected = 0;
      std::from_chars(words[4].data(), words[4].data() + words[4].size(), expected);
      out.parts.push_back({{std::string(words[0]), std::string(words[1]), std::string(words[2]), out.machine, std::string(words[3])}, expected});
    }
  }
  return population_id(out) == id ? std::optional(std::move(out)) : std::nullopt;
}

/// The rows that a tally comes to: kind, key, count.
struct SumRow { std::string kind, key; Micro count; };
std::vector<SumRow> rows_of(const Tally& tally) {
  std::vector<SumRow> out;
  for (const auto& [strand, count] : tally.blamed) out.push_back({"blamed", key_of(words_of(strand)), count});
  for (const auto& [key, count] : tally.modes) {
    std::vector<std::string> words = words_of(key.first);
    words.push_back(key.second);
    out.push_back({"mode", key_of(words), count});
  }
  for (const auto& [key, count] : tally.symptoms) out.push_back({"symptom", key_of({key.first, key.second}), count});
  for (const auto& [population, count] : tally.stories) out.push_back({"story", population, count});
  return out;
}

bool add_row(Tally& tally, const std::string& kind, const std::string& key, Micro count) {
  std::vector<std::string> words;
  for (const std::string_view word : split(key, kBetween)) words.emplace_back(word);
  const auto strand = [&] { return Strand{words[0], words[1], words[2], words[3], words[4]}; };
  if (kind == "blamed" && words.size() == 5) tally.blamed[strand()] = count;
  else if (kind == "mode" && words.size() == 6) tally.modes[{strand(), words[5]}] = count;
  else if (kind == "symptom" && words.size() == 2) tally.symptoms[{words[0], words[1]}] = count;
  else if (kind == "story" && words.size() == 1) tally.stories[key] = count;
  else return false;
  return true;
}

/// Brings the sums from what was held to what is held now.
Status correct_sums(const Database& database, const Held& before, const Held& after) {
  std::map<std::string, Tally> changes;
  const auto add = [&](const Held& held, std::int64_t sign) {
    for (const Lesson& lesson : held.variants) changes[lesson.profile].add(lesson, sign, static_cast<std::int64_t>(held.variants.size()));
  };
  add(before, -1);
  add(after, 1);
  for (const auto& [profile, tally] : changes)
    for (const SumRow& row : rows_of(tally)) {
      const Status put = database.run("INSERT INTO sums(profile, kind, key, count) VALUES(?1, ?2, ?3, ?4) ON CONFLICT(profile, kind, key) DO UPDATE SET count = count + excluded.count",
                                      {profile, row.kind, row.key, row.count});
      if (!put) return put.error();
      const Status clean = database.run("DELETE FROM sums WHERE profile = ?1 AND kind = ?2 AND key = ?3 AND count = 0", {profile, row.kind, row.key});
      if (!clean) return clean.error();
    }
  return Done{};
}

}  // namespace

Result<Held> held_lesson(const Database& database, const std::string& id) {
  Held out;
  std::optional<Error> trouble;
  const Status read = database.each("SELECT version, text FROM lessons WHERE id = ?1", {id}, [&](const Row& row) {
    auto lesson = knowledge::read_lesson(row.text(1));
    if (!lesson) {
      trouble = altered(database, "the lesson " + id + " can't be read");
      return false;
    }
    out.version = row.integer(0);
    out.variants.insert(*std::move(lesson));
    return true;
  });
  if (!read) return read.error();
  if (trouble) return *trouble;
  return out;
}

Absorbed outcome_of(const Held& held, const Lesson& lesson) {
  if (held.variants.empty()) return Absorbed::fresh;
  if (lesson.version > held.version) return Absorbed::newer;
  if (lesson.version < held.version) return Absorbed::older;
  return held.variants.contains(lesson) ? Absorbed::known : Absorbed::conflict;
}

Result<Absorbed> absorb_lesson(const Database& database, const Lesson& lesson) {
  const auto before = held_lesson(database, lesson.id);
  if (!before) return before.error();
  const Absorbed outcome = outcome_of(*before, lesson);
  if (outcome == Absorbed::known || outcome == Absorbed::older) return outcome;
  Held after = outcome == Absorbed::conflict ? *before : Held{lesson.version, {}};
  after.variants.insert(lesson);
  if (outcome == Absorbed::newer)
    if (const Status gone = database.run("DELETE FROM lessons WHERE id = ?1", {lesson.id}); !gone) return gone.error();
  const std::string text = knowledge::write_lesson(lesson), hash = knowledge::long_hash(text);
  const Status put = database.run("INSERT INTO lessons(id, hash, version, text) VALUES(?1, ?2, ?3, ?4)", {lesson.id, hash, lesson.version, text});
  if (!put) return put.error();
  if (const Status right = correct_sums(database, *before, after); !right) return right.error();
  return outcome;
}

Status drop_lesson(const Database& database, const std::string& id) {
  const auto before = held_lesson(database, id);
  if (!before) return before.error();
  if (const Status gone = database.run("DELETE FROM lessons WHERE id = ?1", {id}); !gone) return gone;
  return correct_sums(database, *before, Held{});
}

Status put_taught(const Database& database, job::JobId job, std::size_t nr, const Lesson& lesson, const knowledge::Population& population) {
  if (const Status put = put_population(database, population); !put) return put;
  const auto how = absorb_lesson(database, lesson);
  if (!how) return how.error();
  if (*how != Absorbed::fresh && *how != Absorbed::newer) return store_trouble("the lesson " + lesson.id + " is older than what is held of it", "close the job again");
  return database.run("INSERT INTO taught(job, nr, lesson, text) VALUES(?1, ?2, ?3, ?4)", {job.number, static_cast<std::int64_t>(nr), lesson.id, knowledge::write_lesson(lesson)});
}

Result<std::optional<Lesson>> last_taught(const Database& database, job::JobId job) {
  const auto text = database.text("SELECT text FROM taught WHERE job = ?1 ORDER BY nr DESC LIMIT 1", {job.number});
  if (!text) return text.error();
  if (!*text) return std::optional<Lesson>();
  auto lesson = knowledge::read_lesson(**text);
  if (!lesson) return altered(database, "what the job taught can't be read");
  return std::optional(*std::move(lesson));
}

Status put_population(const Database& database, const knowledge::Population& population) {
  return database.run("INSERT OR IGNORE INTO populations(id, text) VALUES(?1, ?2)", {population.id, text_of(population)});
}

Result<std::map<std::string, Tally>> read_sums(const Database& database) {
  std::map<std::string, Tally> out;
  bool strange = false;
  const Status read = database.each("SELECT profile, kind, key, count FROM sums", {}, [&](const Row& row) {
    strange = !add_row(out[row.text(0)], row.text(1), row.text(2), row.integer(3));
    return !strange;
  });
  if (!read) return read.error();
  if (strange) return altered(database, "a sum of the lessons can't be read");
  return out;
}

Result<std::map<std::string, knowledge::Population>> read_populations(const Database& database) {
  std::map<std::string, knowledge::Population> out;
  std::optional<Error> trouble;
  const Status read = database.each("SELECT id, text FROM populations", {}, [&](const Row& row) {
    auto population = population_in(row.text(0), row.text(1));
    if (!population) trouble = altered(database, "the population " + row.text(0) + " can't be read");
    else out.emplace(row.text(0), *std::move(population));
    return !trouble;
  });
  if (!read) return read.error();
  if (trouble) return *trouble;
  return out;
}

Result<knowledge::Experience> read_experience(const Database& database) {
  knowledge::Experience out;
  auto populations = read_populations(database);
  if (!populations) return populations.error();
  out.populations = *std::move(populations);
  std::optional<Error> trouble;
  const Status read = database.each("SELECT id, text FROM lessons ORDER BY id, hash", {}, [&](const Row& row) {
    auto lesson = knowledge::read_lesson(row.text(1));
    if (!lesson || lesson->id != row.text(0)) trouble = altered(database, "the lesson " + row.text(0) + " can't be read");
    else out = knowledge::learn(std::move(out), *lesson);
    return !trouble;
  });
  if (!read) return read.error();
  if (trouble) return *trouble;
  return out;
}

}  // namespace halfsplit::store
