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
#include "job/case.h"

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

/// Empty when met, else what was found instead.
std::string check(const Bench& bench, const job::Expectation& wanted) {
  if (wanted.what == job::Expectation::What::error) return "";  // checked with its line
  const Run run = bench.say(wanted.what == job::Expectation::What::next ? "next --json" : "suspects --all --json");
  const auto answer = parse_json(run.text);
  if (!answer.ok()) return "no answer: " + run.text;
  if (wanted.what == job::Expectation::What::next) {
    std::size_t rank = 0;
    const Json* tests = answer->find("tests");
    for (const auto& test : tests && tests->items() ? *tests->items() : Json::Array{}) {
      ++rank;
      const Json* point = test.find("point");
      if (point && point->text() && starts_with(*point->text(), wanted.subject) && (!wanted.within || rank <= *wanted.within)) return "";
    }
    return "the next test is another";
  }
  if (wanted.what == job::Expectation::What::outside) {
    const double p = number(answer->find("outside"));
    return (wanted.at_least && p < *wanted.at_least) || (wanted.at_most && p > *wanted.at_most) ? "outside is " + shown(p) : "";
  }
  double p = 0;
  std::size_t rank = 0, above = 0;
  const Json* suspects = answer->find("suspects");
  for (const auto& suspect : suspects && suspects->items() ? *suspects->items() : Json::Array{}) {
    ++rank;
    const Json *site = suspect.find("site"), *part = suspect.find("part");
    if ((site && site->text() && *site->text() == wanted.subject) || (part && part->text() && *part->text() == wanted.subject)) {
      p = number(suspect.find("p"));
      above = rank;
      break;
    }
  }
  if (wanted.within && (above == 0 || above > *wanted.within)) return wanted.subject + " is number " + std::to_string(above) + " of " + std::to_string(rank);
  if (wanted.at_least && p < *wanted.at_least) return wanted.subject + " has " + shown(p);
  if (wanted.at_most && p > *wanted.at_most) return wanted.subject + " has " + shown(p);
  return "";
}

bool replay(const Bench& bench, const std::string& path, const job::Case& told) {
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
      const Run run = bench.say(command);
      const auto* error = job::expected_error(told, i);
      if (error == nullptr && run.status != 0) complain(step.place, run.text);
      if (error != nullptr && (run.status == 0 || run.text.find(error->subject) == std::string::npos)) complain(step.place, "expected an error with '" + error->subject + "', got: " + run.text);
    } else if (const std::string found = check(bench, *step.expectation()); !found.empty()) {
      complain(step.place, "expected " + job::write_expectation(*step.expectation()) + ", but " + found);
    }
  }
  return good;
}

}  // namespace

int main(int argc, char** argv) {
  int passed = 0, failed = 0;
  for (int i = 3; i < argc; ++i) {
    const auto told = job::load_case(argv[i]);
    if (!told.ok()) {
      std::printf("%s\n", told.error().text().c_str());
      return 3;
    }
    const std::string workshop = (std::filesystem::temp_directory_path() / ("halfsplit-replay-" + std::to_string(getpid()) + "-" + std::to_string(i) + ".db")).string();
    const bool good = replay(Bench(argv[1], argv[2], workshop), argv[i], *told);
    for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(workshop + tail);
    std::printf("%s  %s\n", good ? "good  " : "FAILED", std::filesystem::path(argv[i]).filename().c_str());
    good ? ++passed : ++failed;
  }
  std::printf("%d passed, %d failed\n", passed, failed);
  return failed > 0 || passed == 0 ? 1 : 0;
}
