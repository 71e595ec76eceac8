// job/judge.h - is an expectation of a case met? Compares it with what the engine answered; knows nothing of how it was found.
//
// Start at: complaint().
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "board/machine.h"
#include "fault/ranking.h"
#include "job/expectation.h"

namespace halfsplit::job {

/// What is wrong with the answer, as one line; nothing when the expectation is met. `tests` best first. Expected errors are not judged here.
std::optional<std::string> complaint(const Expectation& expectation, const fault::Ranking& ranking, const std::vector<fault::Test>& tests, const board::Machine& machine);
/// The same for an expected error; `error` is nullptr when the line was taken.
std::optional<std::string> error_complaint(const Expectation& expectation, const Error* error);
/// Rank (from 1) of a suspect, those equally probable sharing the better one; nothing when it isn't listed.
std::optional<std::size_t> rank_of(const std::string& subject, const fault::Ranking& ranking, const board::Machine& machine);

}  // namespace halfsplit::job
