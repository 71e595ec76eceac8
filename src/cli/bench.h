// cli/bench.h - the prompt: each line is a command as in the shell, without the program's name; lines from a pipe work alike.
//
// Start at: bench(), words_of().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "cli/run.h"

namespace halfsplit::cli {

/// A line cut at blanks; what stands between quotes that open a word is one word. An apostrophe inside a word is a letter.
std::vector<std::string> words_of(std::string_view line);
/// Runs every line until the input ends or says quit. `before`: options that go with every line. The exit code is that of the last line.
int bench(const std::vector<std::string>& before, const Streams& streams, const app::Outside& outside);

}  // namespace halfsplit::cli
