// Several people on one workshop: lines, closings, merges and undos of eight processes at once, kills at random moments, a disk that is full.
// 2 s and 40 kills; HALFSPLIT_SECONDS=60 and HALFSPLIT_KILLS=500 for more.
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <vector>

#include "base/random.h"
#include "knowledge/lesson_pack.h"
#include "store/database.h"
#include "store/schema.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using bench::good;
using job::LineKind;

namespace {

constexpr int kProcesses = 8;

int wanted(const char* name, int usual) {
  const char* text = std::getenv(name);
  const int value = text ? std::atoi(text) : 0;
  return value > 0 ? value : usual;
}

knowledge::Population desk() {
  knowledge::Population out{"", "osprill-primer", "A", "aged", {}};
  for (const char* ref : {"U1", "U2", "U3"}) out.parts.push_back({{"logic", "LS", "74244", "osprill-primer", ref}, 50000});
  out.id = population_id(out);
  return out;
}
knowledge::Lesson lesson(const std::string& id, std::int64_t version, std::uint64_t place) {
  knowledge::Lesson out;
  out.id = id;
  out.version = version;
  out.machine = "osprill-primer";
  out.profile = "aged";
  out.population = desk().id;
  out.ending = "proven";
  out.blames.push_back({{"logic", "LS", "74244", "osprill-primer", "U" + std::to_string(1 + place % 3)}, "output-stuck-low", knowledge::kOne});
  return out;
}
knowledge::LessonPack pack_of(std::uint64_t number) {
  knowledge::LessonPack out{"pack-" + std::to_string(number), "a pack", "CC0-1.0", 1, {}};
  out.experience.populations[desk().id] = desk();
  for (std::uint64_t i = 0; i < 5; ++i) out.experience = learn(std::move(out.experience), lesson("from-" + std::to_string(number) + "-" + std::to_string(i), 1, number + i));
  return out;
}

bool others_were_first(const Error& error) { return error.message.find("by another program meanwhile") != std::string::npos; }

/// What one process was told is written.
struct Told { std::uint64_t shared = 0, own = 0, closed = 0, packs = 0; };

class Worker {
 public:
  Worker(Workshop& workshop, job::JobId shared, std::uint64_t number) : workshop_(workshop), shared_(shared), number_(number), random_(1000 + number) {}

  /// False when something failed that may not.
  bool step() {
    switch (random_.below(6)) {
      case 0: return close();
      case 1: return merge();
      case 2: return undo();
      case 3: return own_line();
      default: return shared_line();
    }
  }
  bool begin() {
    own_ = bench::job_of("of " + std::to_string(number_));
    return workshop_.create(own_).ok();
  }
  const Told& told() const { return told_; }

 private:
  bool shared_line() {
    for (int i = 0; i < 2000; ++i) {
      auto job = workshop_.load(shared_);
      if (!job) return false;
      const Status done = workshop_.append(*job, bench::line_of(LineKind::note, "writer " + std::to_string(number_) + " line " + std::to_string(told_.shared)));
      if (done) return ++told_.shared, true;
      if (!others_were_first(done.error())) return false;
    }
    return false;
  }
  bool own_line() {
    if (!workshop_.append(own_, bench::line_of(LineKind::note, "own " + std::to_string(told_.own)))) return false;
    return ++told_.own, true;
  }
  bool close() {
    job::Job job = bench::job_of("closed by " + std::to_string(number_));
    if (!workshop_.create(job)) return false;
    const Teaching teaching{lesson(*workshop_.lesson_id(job), job.version + 1, random_.next()), desk()};
    if (!workshop_.append(job, bench::line_of(LineKind::close, "proven U1"), &teaching)) return false;
    return ++told_.closed, true;
  }
  bool merge() {
    if (!workshop_.merge(pack_of(number_ * 100000 + told_.packs), "")) return false;
    return ++told_.packs, true;
  }
  bool undo() {
    if (told_.own == 0) return own_line();
    if (!workshop_.undo(own_)) return false;
    return --told_.own, true;
  }

  Workshop& workshop_;
  const job::JobId shared_;
  const std::uint64_t number_;
  Random random_;
  job::Job own_;
  Told told_;
};

void work_for(const std::string& path, job::JobId shared, std::uint64_t number, int seconds, int pipe) {
  auto workshop = Workshop::open(path);
  if (!workshop) ::_exit(1);
  Worker worker(*workshop, shared, number);
  if (!worker.begin()) ::_exit(2);
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(seconds);
  while (std::chrono::steady_clock::now() < end)
    if (!worker.step()) ::_exit(3);
  const Told told = worker.told();
  ::_exit(::write(pipe, &told, sizeof told) == sizeof told ? 0 : 4);
}

/// Closings, merges and returns for ever; a byte into the pipe for each that is told to be written.
[[noreturn]] void teach_for_ever(const std::string& path, std::uint64_t number, int pipe) {
  auto workshop = Workshop::open(path);
  if (!workshop) ::_exit(1);
  for (;; ++number) {
    job::Job job = bench::job_of("job " + std::to_string(number));
    if (!workshop->create(job)) ::_exit(2);
    Teaching teaching{lesson(*workshop->lesson_id(job), job.version + 1, number), desk()};
    if (!workshop->append(job, bench::line_of(LineKind::close, "proven U1"), &teaching)) ::_exit(3);
    if (::write(pipe, "c", 1) != 1) ::_exit(4);
    if (number % 3 == 0) {
      if (!workshop->merge(pack_of(number), "")) ::_exit(5);
      if (::write(pipe, "m", 1) != 1) ::_exit(4);
    }
    if (number % 4 == 1) {
      if (!workshop->undo(job)) ::_exit(6);
      if (::write(pipe, "u", 1) != 1) ::_exit(4);
    }
  }
}

/// What the killed one had told, oldest first; `then` waits before the kill.
std::string killed_teacher(const std::string& path, std::uint64_t number, useconds_t then) {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    ::close(ends[0]);
    teach_for_ever(path, number, ends[1]);
  }
  ::close(ends[1]);
  ::usleep(then);
  ::kill(child, SIGKILL);
  int status = 0;
  ::waitpid(child, &status, 0);
  REQUIRE(WIFSIGNALED(status));
  std::string told;
  char byte = 0;
  while (::read(ends[0], &byte, 1) == 1) told += byte;
  ::close(ends[0]);
  return told;
}

/// A workshop of the first schema with one job in it.
void make_old(const std::string& path) {
  const auto old = Database::open(path, Database::Mode::create);
  REQUIRE(old.ok());
  REQUIRE(good(bring_up_to_date(*old, schema_steps().first(1))));
  REQUIRE(good(old->run("INSERT INTO jobs VALUES(1, 'old job', 'osprill-primer', '', 'A', '', '0000000000000001', '0000000000000002', '0000000000000003', 'open', 1)")));
}

std::size_t count(const std::string& told, char what) { return static_cast<std::size_t>(std::count(told.begin(), told.end(), what)); }

}  // namespace

TEST_CASE("eight processes close and merge and undo on one workshop and nothing is lost") {
  const int seconds = wanted("HALFSPLIT_SECONDS", 2);
  const bench::Folder folder;
  job::Job shared = bench::job_of("shared");
  {
    Workshop workshop = bench::opened(folder.path());
    REQUIRE(good(workshop.create(shared)));
  }
  std::vector<pid_t> children;
  std::vector<int> pipes;
  for (int i = 0; i < kProcesses; ++i) {
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) work_for(folder.path(), shared.id, static_cast<std::uint64_t>(i), seconds, ends[1]);
    ::close(ends[1]);
    pipes.push_back(ends[0]);
    children.push_back(child);
  }
  Told all;
  for (int i = 0; i < kProcesses; ++i) {
    Told told;
    CHECK(::read(pipes[static_cast<std::size_t>(i)], &told, sizeof told) == sizeof told);
    int status = 0;
    ::waitpid(children[static_cast<std::size_t>(i)], &status, 0);
    ::close(pipes[static_cast<std::size_t>(i)]);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    all = {all.shared + told.shared, all.own + told.own, all.closed + told.closed, all.packs + told.packs};
  }
  const Workshop workshop = bench::opened(folder.path());
  CHECK(good(workshop.check()));
  CHECK(workshop.load(shared.id)->lines.size() == all.shared);
  const auto list = workshop.list().value();
  CHECK(list.size() == 1 + kProcesses + all.closed);
  std::uint64_t own = 0, closed = 0;
  for (const Summary& row : list) {
    if (row.title.rfind("of ", 0) == 0) own += row.lines;
    closed += row.outcome == job::Outcome::proven;
  }
  CHECK(own == all.own);
  CHECK(closed == all.closed);
  const auto experience = workshop.experience().value();
  CHECK(experience.lessons.size() == all.closed + 5 * all.packs);
  CHECK(workshop.merged_packs()->size() == all.packs);
  MESSAGE(seconds << " s: " << all.shared << " lines of the shared job, " << all.own << " own, " << all.closed << " closings, " << all.packs << " merges");
  CHECK(all.shared + all.closed + all.packs > 8);
}

TEST_CASE("a kill during close or merge or migration loses nothing that was told") {
  const int kills = wanted("HALFSPLIT_KILLS", 40);
  Random random(77);
  std::optional<bench::Folder> folder;
  std::size_t jobs = 0, taught = 0, packs = 0;
  std::uint64_t number = 0;
  for (int kill = 0; kill < kills; ++kill) {
    CAPTURE(kill);
    if (kill % 10 == 0) {
      folder.emplace(kill % 20 == 0 ? bench::Folder::In::disk : bench::Folder::In::memory);
      make_old(folder->path());
      jobs = 1;
      taught = packs = 0;
    }
    // The first kill of a file meets the migration.
    const std::string told = killed_teacher(folder->path(), number, static_cast<useconds_t>(kill % 10 == 0 ? random.below(12000) : 1000 + random.below(40000)));
    number += 100000;
    const Workshop workshop = bench::opened(folder->path());
    REQUIRE(good(workshop.check()));
    const auto list = workshop.list().value();
    const auto experience = workshop.experience().value();
    std::size_t own = 0;
    for (const auto& [id, held] : experience.lessons) own += id.rfind("from-", 0) != 0;
    jobs += count(told, 'c');
    taught += count(told, 'c');
    taught -= count(told, 'u');
    packs += count(told, 'm');
    // One more may have been written and not yet told: a job, its lesson, its undo.
    CHECK(list.size() >= jobs);
    CHECK(list.size() <= jobs + 1);
    CHECK(own + 1 >= taught);
    CHECK(own <= taught + 1);
    CHECK(workshop.merged_packs()->size() >= packs);
    CHECK(workshop.merged_packs()->size() <= packs + 1);
    CHECK(workshop.load({1})->title == "old job");
    jobs = list.size();
    taught = own;
    packs = workshop.merged_packs()->size();
  }
  MESSAGE(kills << " kills");
}

TEST_CASE("a full disk is reported and loses nothing") {
  const bench::Folder folder;
  job::Job job = bench::job_of("before");
  {
    Workshop workshop = bench::opened(folder.path());
    REQUIRE(good(workshop.create(job)));
  }
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    // No file of this process may grow beyond this: writes fail as on a disk without room.
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{rlim_t{1} << 20, rlim_t{1} << 20};
    if (::setrlimit(RLIMIT_FSIZE, &small) != 0) ::_exit(9);
    auto workshop = Workshop::open(folder.path());
    if (!workshop) ::_exit(8);
    auto mine = workshop->load(job.id).value();
    for (int i = 0; i < 2000; ++i) {
      const Status kept = workshop->append(mine, bench::line_of(LineKind::note, std::to_string(i) + std::string(3000, 'x')));
      if (!kept) ::_exit(kept.error().code == ErrorCode::store && !kept.error().message.empty() && !kept.error().hint.empty() ? 0 : 7);
      if (::write(ends[1], "w", 1) != 1) ::_exit(6);
    }
    ::_exit(5);
  }
  ::close(ends[1]);
  std::size_t told = 0;
  char byte = 0;
  while (::read(ends[0], &byte, 1) == 1) ++told;
  ::close(ends[0]);
  int status = 0;
  ::waitpid(child, &status, 0);
  REQUIRE(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
  Workshop workshop = bench::opened(folder.path());
  CHECK(good(workshop.check()));
  auto after = workshop.load(job.id).value();
  CHECK(after.lines.size() == told);
  CHECK(told > 10);
  CHECK(good(workshop.append(after, bench::line_of(LineKind::note, "there is room again"))));
}
