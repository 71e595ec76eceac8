// store/support.h - folders that vanish, jobs to store, and what a child process says, for the tests of this folder.
#pragma once
#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>

#include "store/workshop.h"

namespace bench {

using namespace halfsplit;

/// A new folder, removed with all it holds. In memory (where the system has such a place) nothing waits for the disk.
class Folder {
 public:
  enum class In { disk, memory };
  explicit Folder(In in = In::disk) {
    const std::filesystem::path memory = "/dev/shm";
    const bool fast = in == In::memory && ::access(memory.c_str(), W_OK) == 0;
    std::string name = ((fast ? memory : std::filesystem::temp_directory_path()) / "halfsplit-store-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path_ = name;
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string path(const std::string& name = "workshop.db") const { return path_ + "/" + name; }

 private:
  std::string path_;
};

inline std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

inline void write_bytes(const std::string& path, const std::string& bytes) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out << bytes;
}

inline store::Workshop opened(const std::string& path) {
  auto workshop = store::Workshop::open(path);
  REQUIRE_MESSAGE(workshop.ok(), (workshop.ok() ? "" : workshop.error().text()));
  return std::move(workshop).value();
}

inline job::Job job_of(const std::string& title) {
  job::Job job;
  job.title = title;
  job.machine = "osprill-primer";
  job.folder = "boards/osprill-primer";
  job.revision = "A";
  job.opened = "2026-11-25T10:00:00Z";
  job.hashes = {0xfedcba9876543210u, 1, 0};
  return job;
}

inline job::Line line_of(job::LineKind kind, const std::string& typed, const std::string& when = "2026-11-25T10:01:00Z") {
  auto line = job::make_line(kind, typed, when);
  REQUIRE_MESSAGE(line.ok(), (line.ok() ? "" : line.error().text()));
  return std::move(line).value();
}

inline job::Line reading(const std::string& pin) {
  job::Line line = line_of(job::LineKind::read, pin + " low");
  line.records.push_back({"observation", pin + ": probe low", R"({"kind":"observation","point":{"at":"leg","pin":")" + pin + R"("},"look":"probe","value":{"word":"low"}})"});
  return line;
}

inline job::Line repair(const std::string& part) {
  job::Line line = line_of(job::LineKind::repair, part + " replaced");
  line.records.push_back({"repair", part + " replaced", R"({"kind":"repair","act":"replaced","part":")" + part + R"("})"});
  return line;
}

inline bool good(const Status& status) {
  if (!status) MESSAGE(status.error().text());
  return status.ok();
}

inline bool same(const job::Job& a, const job::Job& b) {
  return a.id == b.id && a.title == b.title && a.machine == b.machine && a.folder == b.folder && a.revision == b.revision && a.opened == b.opened && a.hashes == b.hashes && a.lines == b.lines &&
         a.ticks == b.ticks && a.version == b.version;
}

/// Runs `work` in a process of its own; its number is the exit code, 99 when it died otherwise.
inline int in_child(const std::function<int()>& work) {
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) ::_exit(work());
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 99;
}

}  // namespace bench
