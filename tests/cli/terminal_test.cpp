#include <doctest/doctest.h>

#include <map>

#include "cli/terminal.h"

using namespace halfsplit;

namespace {
cli::Surroundings outside(const std::map<std::string, std::string>& variables, bool terminal, std::size_t width = 0) {
  cli::Surroundings out;
  out.variable = [variables](const char* name) -> std::optional<std::string> {
    const auto found = variables.find(name);
    return found == variables.end() ? std::nullopt : std::optional(found->second);
  };
  out.is_terminal = terminal;
  out.terminal_width = width;
  return out;
}
bool colour(const std::map<std::string, std::string>& variables, bool terminal, const char* flag = "auto") { return cli::style_for(outside(variables, terminal), flag).colour; }
}  // namespace

TEST_CASE("colour follows the flag then NO_COLOR then force then the terminal") {
  CHECK(colour({{"TERM", "xterm"}}, true));
  CHECK_FALSE(colour({{"TERM", "xterm"}}, false));
  CHECK_FALSE(colour({{"TERM", "dumb"}}, true));
  CHECK_FALSE(colour({}, true));
  CHECK_FALSE(colour({{"TERM", "xterm"}, {"NO_COLOR", "1"}}, true));
  CHECK(colour({{"TERM", "xterm"}, {"NO_COLOR", ""}}, true));
  CHECK_FALSE(colour({{"NO_COLOR", "1"}, {"FORCE_COLOR", "1"}}, true));
  CHECK(colour({{"FORCE_COLOR", "1"}}, false));
  CHECK_FALSE(colour({{"FORCE_COLOR", "0"}}, false));
  CHECK(colour({{"CLICOLOR_FORCE", "1"}}, false));
  CHECK(colour({{"NO_COLOR", "1"}}, false, "always"));
  CHECK_FALSE(colour({{"TERM", "xterm"}, {"FORCE_COLOR", "1"}}, true, "never"));
}

TEST_CASE("the width is COLUMNS then the terminal then eighty and never absurd") {
  CHECK(cli::style_for(outside({}, false), "auto").width == 80);
  CHECK(cli::style_for(outside({}, true, 100), "auto").width == 100);
  CHECK(cli::style_for(outside({{"COLUMNS", "60"}}, true, 100), "auto").width == 60);
  CHECK(cli::style_for(outside({{"COLUMNS", "wide"}}, true, 100), "auto").width == 100);
  CHECK(cli::style_for(outside({{"COLUMNS", "3"}}, true, 100), "auto").width == 40);
}

TEST_CASE("characters outside ASCII only where the locale has them") {
  CHECK(cli::speaks_utf8(outside({{"LANG", "de_DE.UTF-8"}}, true)));
  CHECK(cli::speaks_utf8(outside({{"LC_ALL", "C.utf8"}}, true)));
  CHECK_FALSE(cli::speaks_utf8(outside({{"LC_ALL", "C"}, {"LANG", "de_DE.UTF-8"}}, true)));
  CHECK_FALSE(cli::speaks_utf8(outside({}, true)));
  CHECK(cli::plain_characters("10 \u00b5F, 5 \u2126") == "10 uF, 5 ?");
}
