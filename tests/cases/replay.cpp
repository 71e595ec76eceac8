// tests/cases/replay.cpp - replays .case files through the program itself, line by line as a person types them, and checks what they expect.
//
// Usage:    replay HALFSPLIT DATA FILE.case...
// Output:   one line a case, then `N passed, N failed`; exit 1 when one failed, 3 when a file cannot be read.
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "base/json.h"
#include "base/text.h"
#include "board/spec.h"
#include "job/case.h"
#include "job/judge.h"
#include "job/words.h"
#include "observe/parse.h"

using namespace halfsplit;

namespace {

std::string in_shell_quotes(const std::string& word) {
  std::string out = "'";
  for (const char c : word) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

struct Run { int status = 0; std::string text; };

class Bench {
 public:
  Bench(std::string program, std::string data, std::string workshop) : start_(in_shell_quotes(program) + " --data " + in_shell_quotes(data) + " --workshop " + in_shell_quotes(workshop) + " ") {}
  Run say(const std::string& command) const {
    Run run;
    FILE* pipe = popen((start_ + command + " 2>&1").c_str(), "r");
    if (pipe == nullptr) return {70, "cannot start"};
    char buffer[4096];
    while (const std::size_t n = std::fread(buffer, 1, sizeof buffer, pipe)) run.text.append(buffer, n);
    run.status = pclose(pipe);
    return run;
  }

 private:
  std::string start_;
};

double number(const Json* value) {
  if (value == nullptr) return 0;
  if (value->real()) return *value->real();
  return value->integer() ? static_cast<double>(*value->integer()) : 0;
}
std::string text(const Json& object, const char* key) {
  const Json* value = object.find(key);
  return value != nullptr && value->text() ? *value->text() : std::string();
}
const Json::Array& list(const Json& object, const char* key) {
  static const Json::Array none;
  const Json* value = object.find(key);
  return value != nullptr && value->items() ? *value->items() : none;
}

/// What the program answered, as the judge takes it.
fault::Ranking ranking_in(const Json& answer) {
  fault::Ranking ranking;
  for (const auto& one : list(answer, "suspects")) {
    fault::Suspect suspect;
    suspect.name = text(one, "site");
    suspect.p = number(one.find("p"));
    for (const auto& mode : list(one, "modes")) suspect.modes.push_back({text(mode, "mode"), {}, number(mode.find("p"))});
    ranking.suspects.push_back(std::move(suspect));
  }
  ranking.outside = number(answer.find("outside"));
  return ranking;
}
std::optional<observe::Kind> kind_shown_as(const std::string& name) {
  for (const auto& word : job::all_words<observe::Kind>())
    if (const auto kind = job::named<observe::Kind>(word); kind && observe::name_of(*kind) == name) return kind;
  return std::nullopt;
}
/// A test at a point or of a kind that cannot be read back is left out, so an expectation of it fails.
std::vector<fault::Test> tests_in(const Json& answer, const board::Machine& machine) {
  std::vector<fault::Test> tests;
  for (const auto& one : list(answer, "tests")) {
    const auto point = observe::parse_point(text(one, "point"), machine);
    const auto kind = kind_shown_as(text(one, "kind"));
    if (!point.ok() || !kind) continue;
    fault::Test test;
    test.query.point = *point;
    test.query.kind = *kind;
    tests.push_back(std::move(test));
  }
  return tests;
}

/// Empty when met, else what was found instead.
std::string check(const Bench& bench, const job::Expectation& wanted, const board::Machine& machine) {
  if (wanted.what == job::Expectation::What::error) return "";  // checked with its line
  const bool next = wanted.what == job::Expectation::What::next;
  const Run run = bench.say(next ? "next --json" : "suspects --all --json");
  const auto answer = parse_json(run.text);
  if (!answer.ok()) return "no answer: " + run.text;
  return job::complaint(wanted, ranking_in(*answer), next ? tests_in(*answer, machine) : std::vector<fault::Test>(), machine).value_or("");
}

bool replay(const Bench& bench, const std::string& path, const job::Case& told, const board::Machine& machine) {
  bool good = true;
  const auto complain = [&](const Place& place, const std::string& what) {
    std::printf("  %s:%u: %s\n", path.c_str(), place.line, what.c_str());
    good = false;
  };
  if (const Run opened = bench.say("job open " + in_shell_quotes(told.machine)); opened.status != 0) complain({}, opened.text);
  for (std::size_t i = 0; i < told.steps.size() && good; ++i) {
    const auto& step = told.steps[i];
    if (const auto* line = step.line()) {
      std::string command = job::name_of(line->kind);
      for (const auto word : words(line->typed)) command += " " + in_shell_quotes(std::string(word));
      if (line->kind == job::LineKind::close) command += " --yes";
      const Run run = bench.say(command);
      const auto* error = job::expected_error(told, i);
      if (error == nullptr && run.status != 0) complain(step.place, run.text);
      if (error != nullptr && (run.status == 0 || run.text.find(error->subject) == std::string::npos)) complain(step.place, "expected an error with '" + error->subject + "', got: " + run.text);
    } else if (const std::string found = check(bench, *step.expectation(), machine); !found.empty()) {
      complain(step.place, "expected " + job::write_expectation(*step.expectation()) + ": " + found);
    }
  }
  return good;
}

}  // namespace

int main(int argc, char** argv) {
  int passed = 0, failed = 0;
  const std::string data = argc > 2 ? argv[2] : ".";
  const auto library = parts::Library::open(data + "/shared/parts");
  if (!library.ok()) {
    std::printf("%s\n", library.error().text().c_str());
    return 3;
  }
  for (int i = 3; i < argc; ++i) {
    const auto told = job::load_case(argv[i]);
    if (!told.ok()) {
      std::printf("%s\n", told.error().text().c_str());
      return 3;
    }
    const std::string shipped = data + "/boards/" + told->machine;
    const auto machine = board::load_machine(std::filesystem::exists(shipped) ? shipped : told->machine, *library);
    if (!machine.ok()) {
      std::printf("%s\n", machine.error().text().c_str());
      return 3;
    }
    const std::string workshop = (std::filesystem::temp_directory_path() / ("halfsplit-replay-" + std::to_string(getpid()) + "-" + std::to_string(i) + ".db")).string();
    const bool good = replay(Bench(argv[1], data, workshop), argv[i], *told, **machine);
    for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(workshop + tail);
    std::printf("%s  %s\n", good ? "good  " : "FAILED", std::filesystem::path(argv[i]).filename().c_str());
    good ? ++passed : ++failed;
  }
  std::printf("%d passed, %d failed\n", passed, failed);
  return failed > 0 || passed == 0 ? 1 : 0;
}
