#include "job/judge.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "job/words.h"
#include "observe/parse.h"

namespace halfsplit::job {
namespace {

constexpr std::size_t kShown = 3;
/// Probabilities this near are equal: sums in another order differ in the last digits.
constexpr double kSame = 1e-12;

/// A part by any of its references, else a site by its name.
const fault::Suspect* find_suspect(const std::string& subject, const fault::Ranking& ranking, const board::Machine& machine) {
  const auto part = machine.find_part(subject);
  const std::string name = lower(part ? machine.part(*part).ref : subject);
  const auto found = std::find_if(ranking.suspects.begin(), ranking.suspects.end(), [&](const fault::Suspect& one) { return lower(one.name) == name; });
  return found == ranking.suspects.end() ? nullptr : &*found;
}

std::size_t rank_in(const fault::Ranking& ranking, const fault::Suspect& suspect) {
  return 1 + static_cast<std::size_t>(std::count_if(ranking.suspects.begin(), ranking.suspects.end(), [&](const fault::Suspect& one) { return one.p > suspect.p + kSame; }));
}

std::string foremost(const fault::Ranking& ranking) {
  std::string out;
  for (std::size_t i = 0; i < std::min(kShown, ranking.suspects.size()); ++i) out += fmt::format("{}{} {}", i ? ", " : "", ranking.suspects[i].name, shown(ranking.suspects[i].p, 3));
  return out.empty() ? "there are no suspects" : "foremost: " + out;
}

std::optional<std::string> out_of_bounds(const Expectation& expected, const std::string& what, double p) {
  if (expected.at_least && p < *expected.at_least - kSame) return fmt::format("{} has {}, expected at least {}", what, shown(p, 4), *expected.at_least);
  if (expected.at_most && p > *expected.at_most + kSame) return fmt::format("{} has {}, expected at most {}", what, shown(p, 4), *expected.at_most);
  return std::nullopt;
}

std::optional<std::string> suspect_complaint(const Expectation& expected, const fault::Ranking& ranking, const board::Machine& machine) {
  const fault::Suspect* suspect = find_suspect(expected.subject, ranking, machine);
  if (expected.within) {
    if (!suspect) return fmt::format("{} is not among the suspects; {}", expected.subject, foremost(ranking));
    if (const std::size_t rank = rank_in(ranking, *suspect); rank > *expected.within) return fmt::format("{} is suspect number {}, expected within {}; {}", expected.subject, rank, *expected.within, foremost(ranking));
  }
  if (auto bounds = out_of_bounds(expected, expected.subject, suspect ? suspect->p : 0)) return bounds;
  if (expected.mode.empty()) return std::nullopt;
  if (!suspect || suspect->modes.empty()) return fmt::format("no mode of {} is known", expected.subject);
  const auto likeliest = std::max_element(suspect->modes.begin(), suspect->modes.end(), [](const auto& a, const auto& b) { return a.p < b.p; });
  if (likeliest->mode == expected.mode) return std::nullopt;
  return fmt::format("the likeliest mode of {} is {}, expected {}", expected.subject, likeliest->mode, expected.mode);
}

std::optional<std::string> next_complaint(const Expectation& expected, const std::vector<fault::Test>& tests, const board::Machine& machine) {
  const auto point = observe::parse_point(expected.subject, machine);
  if (!point) return point.error().text();
  std::string proposed;
  for (std::size_t i = 0; i < std::min(expected.within.value_or(1), tests.size()); ++i) {
    const fault::Query& query = tests[i].query;
    if (query.point == *point && query.kind == expected.kind) return std::nullopt;
    proposed += fmt::format("{}{} by {}", i ? ", " : "", observe::describe(query.point, machine), word_of(query.kind));
  }
  return fmt::format("{} by {} is not proposed; {}", expected.subject, word_of(expected.kind), proposed.empty() ? "nothing is" : "proposed: " + proposed);
}

}  // namespace

std::optional<std::string> complaint(const Expectation& expectation, const fault::Ranking& ranking, const std::vector<fault::Test>& tests, const board::Machine& machine) {
  using What = Expectation::What;
  HS_REQUIRE(expectation.what != What::error, "expected errors are judged by error_complaint()");
  if (expectation.what == What::suspect) return suspect_complaint(expectation, ranking, machine);
  if (expectation.what == What::outside) return out_of_bounds(expectation, "what lies outside", ranking.outside);
  return next_complaint(expectation, tests, machine);
}

std::optional<std::string> error_complaint(const Expectation& expectation, const Error* error) {
  if (!error) return fmt::format("the line was taken, expected the error {}", in_quotes(expectation.subject));
  if (error->text().find(expectation.subject) != std::string::npos) return std::nullopt;
  return fmt::format("refused with {}, expected {}", in_quotes(error->text()), in_quotes(expectation.subject));
}

std::optional<std::size_t> rank_of(const std::string& subject, const fault::Ranking& ranking, const board::Machine& machine) {
  const fault::Suspect* suspect = find_suspect(subject, ranking, machine);
  return suspect ? std::optional(rank_in(ranking, *suspect)) : std::nullopt;
}

}  // namespace halfsplit::job
