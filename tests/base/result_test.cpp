#include "base/result.h"

#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>

using namespace halfsplit;

TEST_CASE("an error shows its place and hint") {
  CHECK(bad_input("no such pin", Place{"a.toml", 3, 7}, "pins are 1..14").text() == "a.toml:3:7: no such pin (pins are 1..14)");
  CHECK(bad_input("odd", Place{"a.toml", 0, 0}).text() == "a.toml: odd");
  CHECK(bad_input("odd", Place{"a.toml", 9, 0}).text() == "a.toml:9: odd");
  CHECK(bad_input("odd", Place{"", 2, 5}).text() == "line 2:5: odd");
  CHECK(usage("say which").text() == "say which");
}

TEST_CASE("every failure has its exit code and word") {
  CHECK(exit_code(usage("x").code) == 2);
  CHECK(exit_code(bad_input("x").code) == 3);
  CHECK(exit_code(store_trouble("x").code) == 4);
  CHECK(exit_code(not_found("x").code) == 5);
  CHECK(exit_code(needs_confirmation("x").code) == 6);
  CHECK(exit_code(ErrorCode::internal) == 70);
  CHECK(std::string(name_of(ErrorCode::not_found)) == "not_found");
}

TEST_CASE("a result is a value or an error") {
  Result<int> good = 4;
  CHECK(good.ok());
  CHECK(*good == 4);
  Result<int> bad = bad_input("no");
  CHECK_FALSE(bad.ok());
  CHECK(bad.error().message == "no");
}

TEST_CASE("errors keep twenty and count all") {
  Errors errors;
  for (int i = 1; i <= 25; ++i) errors.add(bad_input("wrong " + std::to_string(i), Place{"f", static_cast<std::uint32_t>(i), 1}, "hint"));
  CHECK(errors.count() == 25);
  CHECK(errors.list().size() == Errors::kMost);
  const Error all = errors.joined();
  CHECK(all.place.line == 1);
  CHECK(all.message.find("\nf:20:1: wrong 20 (hint)\nand 5 more") != std::string::npos);
  CHECK(all.message.find("wrong 21") == std::string::npos);
}

TEST_CASE("a broken promise ends the process with exit code 70") {
  std::fflush(nullptr);  // or the child would print our buffered lines again
  const pid_t child = fork();
  if (child == 0) {
    close(2);
    Result<int> bad = bad_input("no");
    static_cast<void>(bad.value());
    _exit(0);
  }
  int state = 0;
  REQUIRE(waitpid(child, &state, 0) == child);
  REQUIRE(WIFEXITED(state));
  CHECK(WEXITSTATUS(state) == 70);
}
