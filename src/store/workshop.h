// store/workshop.h - the workshop database: jobs on the bench, written line by line so that a job survives a kill at any moment.
//
// Shape:    one SQLite file in WAL mode beside its -wal and -shm; every change is one transaction. docs/store-format.md.
// Owns:     the connection. A Job handed out is a copy; append() and the like keep it in step with the file.
// Errors:   store: not a workshop, damaged, made by a newer program, can't be written, busy for 5 s, disk full, changed by another program meanwhile
//           (nothing is written then: load the job again); not_found: no such job; usage: text that can't be kept, line into a closed job.
// Cost:     opening about 1 ms, a line about 0.2 ms and a sync of the disk.      Threads: one Workshop a thread; several processes may share the file.
// Start at: Workshop::open(), append().
#pragma once
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "job/job.h"
#include "knowledge/experience.h"
#include "knowledge/lesson_pack.h"

namespace halfsplit::store {

/// A row of the list of jobs.
struct Summary {
  job::JobId id;
  std::string title, machine, revision, opened;
  std::string changed;  ///< time of the last line
  job::Outcome outcome = job::Outcome::open;
  std::size_t lines = 0;
  bool current = false;
};

/// A line of any job that holds the words sought.
struct Found {
  job::JobId id;
  std::string title, machine;
  job::Outcome outcome = job::Outcome::open;
  job::Line line;          ///< without its records
};

/// What a closing teaches: the lesson, and what it is held against. The lesson's version must be above what the job taught before.
struct Teaching {
  knowledge::Lesson lesson;
  knowledge::Population population;
};
/// The sums of all lessons, made ready for believe().
struct Learned {
  std::map<std::string, knowledge::Tally> tallies;  ///< by profile
  std::map<std::string, knowledge::Population> populations;
};
/// A pack that was merged.
struct MergedPack {
  std::string id, title, licence, when;
  std::int64_t version = 1;
  std::size_t lessons = 0;
};
/// What a merge did, or would do.
struct MergeReport {
  std::size_t fresh = 0, newer = 0, known = 0, older = 0;
  std::vector<std::string> conflicts;  ///< ids of lessons with two texts of one version
};

class Workshop {
 public:
  enum class Missing { create, refuse };
  /// Opens, and migrates an older schema after a backup beside the file ("workshop.db.schema-1"). The folder must exist.
  static Result<Workshop> open(const std::string& path, Missing missing = Missing::create);
  Workshop(Workshop&&) noexcept;
  Workshop& operator=(Workshop&&) noexcept;
  ~Workshop();

  /// Stores a new job with its lines and makes it the current one; its id and version are set.
  Status create(job::Job& job);
  /// Oldest first.
  Result<std::vector<Summary>> list() const;
  Result<job::Job> load(job::JobId id) const;
  /// The current job; nothing when there is none.
  Result<std::optional<job::JobId>> current() const;
  Status use(job::JobId id);

  /// Adds a line, in one transaction with its records; `close`, `note` and all else are lines too.
  Status append(job::Job& job, job::Line line, const Teaching* teaching = nullptr);
  /// Takes the last line away for good; nothing when there is none.
  Result<std::optional<job::Line>> undo(job::Job& job);
  /// A line is resolved anew: what it was resolved to no longer means anything on the machine, and the person has said what it means. `typed` stays.
  Status revise(job::Job& job, std::size_t line, std::vector<job::Record> records);
  Status retitle(job::Job& job, std::string title);
  /// What the job is ranked with from now on.
  Status rehash(job::Job& job, std::string revision, job::Hashes hashes);
  /// Ticking twice keeps the first time.
  Status tick(job::Job& job, job::Tick tick);
  Status untick(job::Job& job, const std::string& list, const std::string& step);

  /// Symptoms, notes and closings of all jobs that hold every word (or its beginning), best match first. Any text is only words.
  Result<std::vector<Found>> search(std::string_view words, std::size_t most = 20) const;
  /// The same for lines that hold any of the words.
  Result<std::vector<Found>> search_any(std::string_view words, std::size_t most = 20) const;

  // ---- what closed jobs taught ----

  /// Id of the lesson that a job of this workshop gives; the same as long as the workshop lives, and no other workshop's.
  Result<std::string> lesson_id(const job::Job& job) const;
  /// What the job teaches as it stands: of the last line that taught something.
  Result<std::optional<knowledge::Lesson>> lesson_of(const job::Job& job) const;
  Result<Learned> learned() const;
  /// What is held under the id of a lesson; empty variants where there is nothing.
  Result<knowledge::Held> held(const std::string& lesson) const;
  /// All lessons with their texts.
  Result<knowledge::Experience> experience() const;
  /// All of it, or nothing. `only_look` changes nothing.
  Result<MergeReport> merge(const knowledge::LessonPack& pack, const std::string& when, bool only_look = false);
  Result<std::vector<MergedPack>> merged_packs() const;
  /// Ids of the lessons that jobs of this workshop taught.
  Result<std::set<std::string>> own_lessons() const;
  /// Who this workshop is to others: "workshop 1a2b3c4d".
  Result<std::string> pseudonym() const;
  /// Where the culprits of past jobs stood when that was last accepted, by the caller's ids; 0 = not listed.
  Result<std::map<std::string, std::int64_t>> ranks() const;
  Status set_ranks(const std::map<std::string, std::int64_t>& ranks);

  /// Records of what was read on good machines of this model, in all jobs but one, oldest first.
  Result<std::vector<job::Record>> good_readings(const std::string& machine, job::JobId except) const;

  /// Results that can be made again; may vanish at any time. Keys are the caller's: name, hashes, program version.
  Result<std::optional<std::string>> cached(const std::string& key) const;
  /// Drops what was kept longest when all together exceed `most` bytes.
  Status cache(const std::string& key, std::string_view bytes, std::int64_t most = std::int64_t{256} << 20);
  Status empty_cache();

  /// Copies the whole workshop while others may be writing; refuses to overwrite.
  Status back_up(const std::string& path) const;
  /// Pages, indexes, references, every job readable, and the sums of the lessons right.
  Status check() const;

 private:
  struct Inside;
  explicit Workshop(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace halfsplit::store
