#include <doctest/doctest.h>

#include <sstream>

#include "cli/bench.h"

using namespace halfsplit;
using Words = std::vector<std::string>;

TEST_CASE("a line at the prompt is cut at blanks and quotes hold words together") {
  CHECK(cli::words_of("  read U5.8   4.31V ") == Words{"read", "U5.8", "4.31V"});
  CHECK(cli::words_of("job open osprill-primer --title \"of the club\"") == Words{"job", "open", "osprill-primer", "--title", "of the club"});
  CHECK(cli::words_of("symptom it doesn't beep") == Words{"symptom", "it", "doesn't", "beep"});
  CHECK(cli::words_of("note 3.5\" drive") == Words{"note", "3.5\"", "drive"});
  CHECK(cli::words_of("").empty());
}

TEST_CASE("the prompt needs something to read from") {
  std::ostringstream out, err;
  const cli::Streams streams{out, err, {[](const char*) { return std::nullopt; }}, {[](const char*) { return std::nullopt; }}};
  app::Outside outside;
  outside.variable = [](const char*) { return std::nullopt; };
  CHECK(cli::run({"bench", "--workshop", "/nowhere/x.db", "--data", HALFSPLIT_SOURCE_DIR}, streams, outside) == 2);
  CHECK(err.str().find("nothing to read from") != std::string::npos);
}
