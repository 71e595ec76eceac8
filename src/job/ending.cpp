#include "job/ending.h"

#include <fmt/core.h>

#include <array>

#include "base/text.h"

namespace halfsplit::job {
namespace {

constexpr std::array<const char*, 8> kWords = {"open", "proven", "working-unproven", "partly", "waiting", "unrepaired", "parts", "came-back"};
constexpr char kHow[] = "type how it ended and what it was: close proven U14 output-stuck-low: a remark";

Error unknown_outcome(std::string_view word) {
  const std::vector<std::string> candidates(kWords.begin() + 1, kWords.end());
  const auto near = did_you_mean(lower(word), candidates);
  return usage(fmt::format("{} is no way for a job to end", in_quotes(word)), near ? fmt::format("did you mean {}?", *near) : join(candidates, ", "));
}

Result<Culprit> parse_culprit(std::string_view text) {
  const auto pieces = words(text);
  if (pieces.empty()) return usage("a culprit is missing beside a comma", kHow);
  if (pieces.size() > 2) return usage(fmt::format("{} is not a part and a failure mode", in_quotes(text)), kHow);
  return Culprit{std::string(pieces[0]), pieces.size() == 2 ? std::string(pieces[1]) : std::string()};
}

}  // namespace

const char* name_of(Outcome outcome) noexcept { return kWords[static_cast<std::size_t>(outcome)]; }

std::optional<Outcome> outcome_named(std::string_view word) {
  for (std::size_t i = 0; i < kWords.size(); ++i)
    if (word == kWords[i]) return static_cast<Outcome>(i);
  return std::nullopt;
}

bool is_closed(Outcome outcome) noexcept { return outcome != Outcome::open && outcome != Outcome::waiting && outcome != Outcome::came_back; }

Result<Ending> parse_ending(std::string_view text) {
  const std::size_t colon = text.find(':');
  Ending out;
  if (colon != std::string_view::npos) out.note = trim(text.substr(colon + 1));
  const std::string_view facts = trim(text.substr(0, colon));
  const auto pieces = words(facts);
  if (pieces.empty()) return usage("how did it end?", kHow);
  const auto outcome = outcome_named(lower(pieces[0]));
  if (!outcome || *outcome == Outcome::open) return unknown_outcome(pieces[0]);
  out.outcome = *outcome;
  const std::string_view culprits = trim(facts.substr(pieces[0].size()));
  if (culprits.empty()) return out;
  for (const std::string_view piece : split(culprits, ',')) {
    auto culprit = parse_culprit(piece);
    if (!culprit) return culprit.error();
    out.culprits.push_back(*std::move(culprit));
  }
  return out;
}

std::string write_ending(const Ending& ending) {
  std::string out = name_of(ending.outcome);
  for (std::size_t i = 0; i < ending.culprits.size(); ++i) {
    const Culprit& one = ending.culprits[i];
    out += (i == 0 ? " " : ", ") + one.place + (one.mode.empty() ? "" : " " + one.mode);
  }
  return ending.note.empty() ? out : out + ": " + ending.note;
}

Ending ending_of(const std::vector<Line>& lines) {
  for (auto line = lines.rbegin(); line != lines.rend(); ++line) {
    if (line->kind != LineKind::close) continue;
    auto ending = parse_ending(line->typed);
    if (!ending) continue;
    ending->when = line->when;
    return *std::move(ending);
  }
  return {};
}

}  // namespace halfsplit::job
