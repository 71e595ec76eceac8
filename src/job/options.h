// job/options.h - what a person has chosen for one job: failure rates, answers to open questions, amendments, instruments. Read off the job's lines.
//
// Start at: options_of().
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "job/line.h"

namespace halfsplit::job {

/// Which failure rates count: of boards some 40 years old, or of replicas and kits just built.
enum class Profile { aged, recent_build };
const char* name_of(Profile profile) noexcept;  ///< "aged", "recent-build"
/// usage with "did you mean".
Result<Profile> parse_profile(std::string_view text);

struct Answer {
  std::string question;  ///< id of the machine's question
  std::string word;
  friend bool operator==(const Answer&, const Answer&) = default;
};
/// "jp1 closed".
Result<Answer> parse_answer(std::string_view text);

struct Options {
  Profile profile = Profile::aged;
  std::vector<Answer> answers;           ///< one a question, the last one typed; in the order of their first mention
  std::vector<std::string> amendments;   ///< whole lines, oldest first
  std::vector<std::string> tools;        ///< as last told; empty = never told
  const std::string* answer(std::string_view question) const;
};
/// Lines of other kinds are passed over.
Options options_of(const std::vector<Line>& lines);

}  // namespace halfsplit::job
