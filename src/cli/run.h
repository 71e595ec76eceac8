// cli/run.h - one command from its arguments to the exit code: asks app, prints what report makes of the answer.
//
// Streams:  stdout the answer only, stderr messages. With --json one JSON value on stdout, or one error object on stderr.
// Start at: run().
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "app/places.h"
#include "cli/terminal.h"

namespace halfsplit::cli {

struct Streams {
  std::ostream& out;
  std::ostream& err;
  Surroundings of_out, of_err;
  std::istream* in = nullptr;  ///< answers to questions and lines of the prompt; nothing: no question is asked
  bool asks = false;           ///< `in` is a terminal
};
/// `arguments` without the program's name.
int run(const std::vector<std::string>& arguments, const Streams& streams, const app::Outside& outside);
/// The same on this process's streams and surroundings.
int run(int count, char** arguments);

}  // namespace halfsplit::cli
