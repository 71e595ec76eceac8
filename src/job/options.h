// job/options.h - what a person has chosen for one job: failure rates, answers to open questions, amendments, instruments, what need not
// work, what stays, what can't be done. Read off the job's lines.
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

/// A function that need not work, or must after all.
struct Want {
  std::string function;  ///< as typed
  bool yes = false;
  friend bool operator==(const Want&, const Want&) = default;
};
/// "tape-out no", "recording on tape no".
Result<Want> parse_want(std::string_view text);

/// A defect that stays in the machine.
struct Left {
  std::string part;  ///< as typed
  std::string why;
  std::string when;  ///< of its line
  friend bool operator==(const Left&, const Left&) = default;
};
/// "C12 bulging but holds", "J4: pad torn off"; usage where no reason follows.
Result<Left> parse_left(std::string_view text);

struct Options {
  Profile profile = Profile::aged;
  std::vector<Answer> answers;           ///< one a question, the last one typed; in the order of their first mention
  std::vector<std::string> amendments;   ///< whole lines, oldest first
  std::vector<std::string> tools;        ///< as last told; empty = never told
  std::vector<Want> wants;               ///< one a function, the last one typed; in the order of their first mention
  std::vector<Left> left;                ///< one a part, the last one typed
  std::vector<std::string> cannot;       ///< whole lines, oldest first
  const std::string* answer(std::string_view question) const;
};
/// Lines of other kinds are passed over.
Options options_of(const std::vector<Line>& lines);

}  // namespace halfsplit::job
