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
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "job/job.h"

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
  Status append(job::Job& job, job::Line line);
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

  /// Results that can be made again; may vanish at any time. Keys are the caller's: name, hashes, program version.
  Result<std::optional<std::string>> cached(const std::string& key) const;
  /// Drops what was kept longest when all together exceed `most` bytes.
  Status cache(const std::string& key, std::string_view bytes, std::int64_t most = std::int64_t{256} << 20);
  Status empty_cache();

  /// Copies the whole workshop while others may be writing; refuses to overwrite.
  Status back_up(const std::string& path) const;
  /// Pages, indexes, references and every job readable.
  Status check() const;

 private:
  struct Inside;
  explicit Workshop(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace halfsplit::store
