#include "job/options.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"

namespace halfsplit::job {
namespace {

void put_answer(std::vector<Answer>& answers, Answer answer) {
  const auto before = std::find_if(answers.begin(), answers.end(), [&](const Answer& one) { return one.question == answer.question; });
  if (before == answers.end()) answers.push_back(std::move(answer));
  else *before = std::move(answer);
}

/// One entry a name; a later one takes the earlier one's place.
template <class Entry>
void put(std::vector<Entry>& all, Entry entry, std::string Entry::*name) {
  const auto before = std::find_if(all.begin(), all.end(), [&](const Entry& one) { return lower(one.*name) == lower(entry.*name); });
  if (before == all.end()) all.push_back(std::move(entry));
  else *before = std::move(entry);
}

std::vector<std::string> tool_words(std::string_view typed) {
  std::vector<std::string> out;
  std::string plain(typed);
  std::replace(plain.begin(), plain.end(), ',', ' ');
  for (const std::string_view word : words(plain))
    if (lower(word) != "and") out.emplace_back(word);
  return out;
}

}  // namespace

const char* name_of(Profile profile) noexcept { return profile == Profile::aged ? "aged" : "recent-build"; }

Result<Profile> parse_profile(std::string_view text) {
  const std::string word = lower(trim(text));
  for (const Profile profile : {Profile::aged, Profile::recent_build})
    if (word == name_of(profile)) return profile;
  const auto near = did_you_mean(word, {"aged", "recent-build"});
  return usage(fmt::format("there is no profile {}", in_quotes(text)), near ? fmt::format("did you mean {}?", *near) : "aged, or recent-build for a replica or kit");
}

Result<Answer> parse_answer(std::string_view text) {
  const auto pieces = words(text);
  if (pieces.size() != 2) return usage(fmt::format("{} is not an answer", in_quotes(text)), "type the question's name and one of its answers: answer jp1 closed");
  return Answer{std::string(pieces[0]), std::string(pieces[1])};
}

Result<Want> parse_want(std::string_view text) {
  const auto pieces = words(text);
  const std::string last = pieces.empty() ? std::string() : lower(pieces.back());
  if (pieces.size() < 2 || (last != "yes" && last != "no")) return usage(fmt::format("{} doesn't say whether it is wanted", in_quotes(text)), "type the function and yes or no: want tape-out no");
  const auto name = static_cast<std::size_t>(pieces.back().data() - text.data());
  return Want{std::string(trim(text.substr(0, name))), last == "yes"};
}

Result<Left> parse_left(std::string_view text) {
  const std::string_view body = trim(text);
  const std::size_t end = std::min(body.find_first_of(" \t:"), body.size());
  std::string_view why = trim(body.substr(end));
  if (starts_with(why, ":")) why = trim(why.substr(1));
  if (end == 0 || why.empty()) return usage(fmt::format("{} doesn't say what stays and why", in_quotes(text)), "type the part and the reason: leave C12 bulging but holds");
  return Left{std::string(body.substr(0, end)), std::string(why), {}};
}

const std::string* Options::answer(std::string_view question) const {
  for (const Answer& one : answers)
    if (one.question == question) return &one.word;
  return nullptr;
}

Options options_of(const std::vector<Line>& lines) {
  Options out;
  for (const Line& line : lines) {
    if (line.kind == LineKind::amend) out.amendments.push_back(line.typed);
    if (line.kind == LineKind::tools) out.tools = tool_words(line.typed);
    if (line.kind == LineKind::cannot) out.cannot.push_back(line.typed);
    if (line.kind == LineKind::want)
      if (auto want = parse_want(line.typed)) put(out.wants, *std::move(want), &Want::function);
    if (line.kind == LineKind::leave)
      if (auto left = parse_left(line.typed)) {
        left->when = line.when;
        put(out.left, *std::move(left), &Left::part);
      }
    if (line.kind == LineKind::profile)
      if (const auto profile = parse_profile(line.typed)) out.profile = *profile;
    if (line.kind == LineKind::answer)
      if (auto answer = parse_answer(line.typed)) put_answer(out.answers, *std::move(answer));
  }
  return out;
}

}  // namespace halfsplit::job
