// A program that writes is killed at random moments, over and over on the same file: what it was told is written is there, what wasn't is there
// whole or not at all. 60 kills; HALFSPLIT_KILLS=500 for more.
#include <csignal>
#include <cstdlib>
#include <vector>

#include "base/random.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using job::LineKind;

namespace {

constexpr std::uint64_t kSeed = 8402;

/// The whole workshop as it should be.
struct Model {
  std::vector<job::Job> jobs;
  job::JobId current;
};

job::Line random_line(Random& random) {
  static constexpr LineKind kKinds[] = {LineKind::read, LineKind::read, LineKind::read, LineKind::repair, LineKind::symptom, LineKind::note, LineKind::state, LineKind::amend};
  const LineKind kind = kKinds[random.below(8)];
  const std::string part = "U" + std::to_string(random.below(40));
  job::Line line = kind == LineKind::repair ? job::Line{} : *job::make_line(kind, part + " said " + std::to_string(random.next()) + std::string(random.below(600), 'x'), "2026-11-25T10:00:00Z");
  const std::uint64_t events = kind == LineKind::read ? 1 + random.below(8) : 0;
  for (std::uint64_t i = 0; i < events; ++i) line.records.push_back({"observation", part + " low", "{\"nr\":" + std::to_string(random.next() >> 12) + "}"});
  if (kind != LineKind::repair) return line;
  line = *job::make_line(kind, part + " replaced");
  line.records.push_back({"repair", part + " replaced", R"({"kind":"repair","act":"replaced","part":")" + part + R"("})"});
  return line;
}

/// One change, done by the workshop or, without one, by hand on the model. Which one follows from its number and the model alone.
class Change {
 public:
  Change(std::uint64_t number, Model& model, Workshop* workshop) : random_(kSeed + number), model_(model), workshop_(workshop) {}

  bool make() {
    const std::uint64_t what = random_.below(20);
    if (model_.jobs.empty() || (what == 0 && model_.jobs.size() < 5)) return create();
    const std::size_t index = random_.below(model_.jobs.size());
    job::Job& job = model_.jobs[index];
    if (what == 1) return use(job);
    if (what == 2) return tick(job);
    if (what == 3) return retitle(job);
    if (what == 4 && !job.lines.empty()) return revise(job);
    if (what <= 7 && !job.lines.empty()) return undo(job);
    return append(job);
  }

 private:
  bool create() {
    job::Job job;
    job.title = "job " + std::to_string(model_.jobs.size());
    job.machine = "osprill-primer";
    job.hashes = {random_.next(), random_.next(), random_.next()};
    for (int i = 0; i < 3; ++i) job.lines.push_back(random_line(random_));
    if (workshop_ && !workshop_->create(job)) return false;
    job.id = {static_cast<std::int64_t>(model_.jobs.size()) + 1};
    job.version = 1;
    model_.current = job.id;
    model_.jobs.push_back(job);
    return true;
  }
  bool use(const job::Job& job) {
    model_.current = job.id;
    return !workshop_ || workshop_->use(job.id).ok();
  }
  bool tick(job::Job& job) {
    const job::Tick tick{"proof", std::to_string(random_.next()), ""};
    if (workshop_) return workshop_->tick(job, tick).ok();
    job.ticks.push_back(tick);
    ++job.version;
    return true;
  }
  bool retitle(job::Job& job) {
    const std::string title = "renamed " + std::to_string(random_.next());
    if (workshop_) return workshop_->retitle(job, title).ok();
    job.title = title;
    ++job.version;
    return true;
  }
  bool revise(job::Job& job) {
    const std::size_t at = random_.below(job.lines.size());
    const std::vector<job::Record> records = random_line(random_).records;
    if (workshop_) return workshop_->revise(job, at, records).ok();
    job.lines[at].records = records;
    ++job.version;
    return true;
  }
  bool undo(job::Job& job) {
    if (workshop_) return workshop_->undo(job).ok();
    job.lines.pop_back();
    ++job.version;
    return true;
  }
  bool append(job::Job& job) {
    const job::Line line = random_line(random_);
    if (workshop_) return workshop_->append(job, line).ok();
    job.lines.push_back(line);
    ++job.version;
    return true;
  }

  Random random_;
  Model& model_;
  Workshop* workshop_;
};

bool holds(const Workshop& workshop, const Model& model) {
  const auto list = workshop.list();
  const auto current = workshop.current();
  if (!list.ok() || list->size() != model.jobs.size() || !current.ok() || current->value_or(job::JobId{}) != model.current) return false;
  for (const job::Job& job : model.jobs) {
    const auto loaded = workshop.load(job.id);
    if (!loaded.ok() || !bench::same(*loaded, job)) return false;
  }
  return true;
}

/// Changes from `number` on until killed; one byte into the pipe for each that is told to be written.
[[noreturn]] void write_for_ever(const std::string& path, Model model, std::uint64_t number, int pipe) {
  auto workshop = Workshop::open(path);
  if (!workshop) ::_exit(1);
  for (;; ++number) {
    if (!Change(number, model, &*workshop).make()) ::_exit(2);
    if (::write(pipe, "w", 1) != 1) ::_exit(3);
  }
}

/// Starts the writer, lets it tell of some changes, waits some more and kills it. How many it told of; nothing when it ended by itself.
std::optional<std::uint64_t> killed_writer(const std::string& path, const Model& model, std::uint64_t number, Random& random) {
  int ends[2];
  if (::pipe(ends) != 0) return std::nullopt;
  const pid_t child = ::fork();
  if (child == 0) {
    ::close(ends[0]);
    write_for_ever(path, model, number, ends[1]);
  }
  ::close(ends[1]);
  std::uint64_t told = 0;
  char byte = 0;
  for (const std::uint64_t wanted = random.below(7); told < wanted && ::read(ends[0], &byte, 1) == 1;) ++told;
  ::usleep(static_cast<useconds_t>(random.below(15000)));
  ::kill(child, SIGKILL);
  int status = 0;
  ::waitpid(child, &status, 0);
  while (::read(ends[0], &byte, 1) == 1) ++told;
  ::close(ends[0]);
  return WIFSIGNALED(status) ? std::optional(told) : std::nullopt;
}

int kills_wanted() {
  const char* text = std::getenv("HALFSPLIT_KILLS");
  const int wanted = text ? std::atoi(text) : 0;
  return wanted > 0 ? wanted : 60;
}

}  // namespace

TEST_CASE("what was told to be written survives a kill at any moment") {
  const int kills = kills_wanted();
  constexpr int kKillsAFile = 15;
  Random random(kSeed);
  std::uint64_t number = 0, untold = 0;
  std::optional<bench::Folder> folder;
  Model model;
  for (int kill = 0; kill < kills; ++kill) {
    CAPTURE(kill);
    if (kill % kKillsAFile == 0) {
      // On a disk most kills meet it waiting for the disk, in memory they meet everything else.
      folder.emplace(kill / kKillsAFile % 2 == 0 ? bench::Folder::In::disk : bench::Folder::In::memory);
      model = Model{};
    }
    const auto told = killed_writer(folder->path(), model, number, random);
    REQUIRE(told.has_value());
    for (std::uint64_t i = 0; i < *told; ++i) REQUIRE(Change(number++, model, nullptr).make());
    const auto workshop = Workshop::open(folder->path());
    REQUIRE_MESSAGE(workshop.ok(), (workshop.ok() ? "" : workshop.error().text()));
    const Status whole = workshop->check();
    REQUIRE_MESSAGE(whole.ok(), (whole.ok() ? "" : whole.error().text()));
    if (holds(*workshop, model)) continue;
    // One more may have been written and not yet told.
    REQUIRE(Change(number++, model, nullptr).make());
    REQUIRE(holds(*workshop, model));
    ++untold;
  }
  MESSAGE(kills << " kills, " << number << " changes, " << untold << " of them written but not yet told");
  CHECK(number > static_cast<std::uint64_t>(kills));
}
