// app/desk.h - the outside of one command: where things lie, what time it is, the workshop file, the current job.
//
// Owns:     the workshop's connection once it is opened.
// Start at: Desk, Desk::sit().
#pragma once
#include <memory>
#include <optional>
#include <string>

#include "app/places.h"
#include "app/sitting.h"
#include "store/workshop.h"

namespace halfsplit::app {

class Desk {
 public:
  Desk(Places places, std::string now) : places_(std::move(places)), now_(std::move(now)) {}
  const Places& places() const { return places_; }
  const std::string& now() const { return now_; }

  /// Opens the file at the first call, and makes it where it isn't there.
  Result<store::Workshop*> workshop();
  /// The current job; nothing when there is none, and no workshop is made for that.
  Result<std::optional<job::Job>> current_job();
  /// The current job on its machine; not_found says how to begin one. Takes the hashes of today into the job where its files have changed and
  /// everything in it still means something.
  Result<std::unique_ptr<Sitting>> sit();
  /// The same for a given job.
  Result<std::unique_ptr<Sitting>> sit(job::Job job);
  /// The job as it was before its line of this index was typed; nothing is written. It has learned nothing.
  Result<std::unique_ptr<Sitting>> look_back(job::Job job, std::size_t lines);
  Result<std::unique_ptr<Sitting>> look_back(job::Job job, std::size_t lines, ModelShelf& shelf);

 private:
  Status keep_table(Sitting& sitting);
  Places places_;
  std::string now_;
  std::optional<store::Workshop> workshop_;
};

}  // namespace halfsplit::app
