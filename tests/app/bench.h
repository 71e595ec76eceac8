// tests/app/bench.h - a job on a shipped machine without a workshop, typed line by line.
#pragma once
#include <doctest/doctest.h>

#include <memory>
#include <string>

#include "app/entries.h"
#include "app/sitting.h"

namespace halfsplit::bench {

class Job {
 public:
  explicit Job(const std::string& machine) {
    app::Places places;
    places.data = HALFSPLIT_SOURCE_DIR;
    places.board_roots = {places.data + "/boards"};
    job::Job job;
    job.machine = machine;
    job.folder = places.data + "/boards/" + machine;
    auto made = app::Sitting::of(places, job);
    REQUIRE(made.ok());
    sitting_ = std::move(made).value();
  }
  app::Sitting& sitting() { return *sitting_; }
  const board::Machine& machine() const { return sitting_->machine(); }
  /// Taken in without being answered: quick.
  void say(job::LineKind kind, const std::string& typed) {
    const auto understood = sitting_->understand(kind, typed, "2026-11-25T10:00:00Z");
    REQUIRE_MESSAGE(understood.ok(), typed);
    REQUIRE(sitting_->keep(*understood, nullptr).ok());
  }
  /// Taken in and answered.
  report::Entry enter(job::LineKind kind, const std::string& typed) {
    auto entry = app::enter(*sitting_, nullptr, kind, typed, "2026-11-25T10:00:00Z");
    REQUIRE_MESSAGE(entry.ok(), typed);
    return std::move(entry).value();
  }

 private:
  std::unique_ptr<app::Sitting> sitting_;
};

}  // namespace halfsplit::bench
