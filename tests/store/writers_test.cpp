// Several processes on one workshop: nothing is lost, nobody waits for ever.
#include <cstdio>
#include <vector>

#include "store/database.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::store;
using bench::good;
using job::LineKind;

namespace {

constexpr int kWriters = 4, kLines = 25;

/// Runs one child a number, all at once; the exit codes.
std::vector<int> together(int count, const std::function<int(int)>& work) {
  std::vector<pid_t> children;
  for (int i = 0; i < count; ++i) {
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) ::_exit(work(i));
    children.push_back(child);
  }
  std::vector<int> out;
  for (const pid_t child : children) {
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    out.push_back(WIFEXITED(status) ? WEXITSTATUS(status) : 99);
  }
  return out;
}

/// Adds a line to a job that others write too: looks again as long as somebody else was first.
bool add_with_patience(Workshop& workshop, job::JobId id, const job::Line& line) {
  for (int i = 0; i < 1000; ++i) {
    auto job = workshop.load(id);
    if (!job) return false;
    const Status done = workshop.append(*job, line);
    if (done) return true;
    if (done.error().message.find("by another program meanwhile") == std::string::npos) return false;
  }
  return false;
}

int write_lines(const std::string& path, job::JobId shared, int writer) {
  auto workshop = Workshop::open(path);
  if (!workshop) return 1;
  job::Job own = bench::job_of("of writer " + std::to_string(writer));
  if (!workshop->create(own)) return 2;
  for (int i = 0; i < kLines; ++i) {
    const auto line = job::make_line(LineKind::note, "writer " + std::to_string(writer) + " line " + std::to_string(i));
    if (!workshop->append(own, *line)) return 3;
    if (!add_with_patience(*workshop, shared, *line)) return 4;
  }
  return 0;
}

}  // namespace

TEST_CASE("several programs make the same new workshop at once") {
  for (int round = 0; round < 25; ++round) {  // the moment of making is short
    const bench::Folder folder;
    const auto codes = together(6, [&](int i) {
      auto workshop = Workshop::open(folder.path());
      if (!workshop) return 1;
      job::Job job = bench::job_of("job of " + std::to_string(i));
      return workshop->create(job).ok() ? 0 : 2;
    });
    CHECK(codes == std::vector<int>(6, 0));
    const Workshop workshop = bench::opened(folder.path());
    CHECK(workshop.list()->size() == 6);
    CHECK(good(workshop.check()));
  }
}

TEST_CASE("lines of several programs are all there and in order") {
  const bench::Folder folder;
  job::Job shared = bench::job_of("shared");
  {
    Workshop workshop = bench::opened(folder.path());
    REQUIRE(good(workshop.create(shared)));
  }
  const auto codes = together(kWriters, [&](int i) { return write_lines(folder.path(), shared.id, i); });
  CHECK(codes == std::vector<int>(kWriters, 0));
  const Workshop workshop = bench::opened(folder.path());
  CHECK(good(workshop.check()));
  const job::Job all = workshop.load(shared.id).value();
  CHECK(all.lines.size() == kWriters * kLines);
  CHECK(all.version == kWriters * kLines + 1);
  std::vector<int> next(kWriters, 0);
  for (const job::Line& line : all.lines) {
    int writer = -1, number = -1;
    REQUIRE(std::sscanf(line.typed.c_str(), "writer %d line %d", &writer, &number) == 2);
    REQUIRE((writer >= 0 && writer < kWriters));
    CHECK(number == next[static_cast<std::size_t>(writer)]++);
  }
  CHECK(next == std::vector<int>(kWriters, kLines));
  const std::vector<Summary> list = workshop.list().value();
  CHECK(list.size() == kWriters + 1);
  for (const Summary& row : list)
    if (row.id != shared.id) CHECK(row.lines == kLines);
}

TEST_CASE("a writer that never ends is not waited for for ever") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("patience");
  REQUIRE(good(workshop.create(job)));
  const job::Job before = job;
  const auto other = Database::open(folder.path(), Database::Mode::existing);
  REQUIRE(other.ok());
  {
    const auto change = Transaction::begin(*other, Transaction::For::writing);
    REQUIRE(change.ok());
    CHECK(workshop.list()->size() == 1);  // readers don't wait
    const Status refused = workshop.append(job, bench::reading("U5.8"));
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().code == ErrorCode::store);
    CHECK(refused.error().message.find("is being written by another program") != std::string::npos);
    CHECK(bench::same(job, before));
  }
  CHECK(good(workshop.append(job, bench::reading("U5.8"))));
}

TEST_CASE("a backup is taken while another program writes") {
  const bench::Folder folder;
  Workshop workshop = bench::opened(folder.path());
  job::Job job = bench::job_of("copied");
  REQUIRE(good(workshop.create(job)));
  const auto other = Database::open(folder.path(), Database::Mode::existing);
  REQUIRE(other.ok());
  const auto change = Transaction::begin(*other, Transaction::For::writing);
  REQUIRE(change.ok());
  REQUIRE(good(other->run("UPDATE jobs SET title = 'half'")));
  REQUIRE(good(workshop.back_up(folder.path("copy.db"))));
  CHECK(bench::opened(folder.path("copy.db")).load(job.id)->title == "copied");
}
