#include <doctest/doctest.h>

#include "cli/arguments.h"
#include "cli/words.h"

using namespace halfsplit;

namespace {
cli::Request request(const std::vector<std::string>& arguments) {
  const auto out = cli::read_arguments(arguments);
  REQUIRE_MESSAGE(out.ok(), (out.ok() ? std::string() : out.error().text()));
  REQUIRE(std::holds_alternative<cli::Request>(*out));
  return std::get<cli::Request>(*out);
}
Error refused(const std::vector<std::string>& arguments) {
  const auto out = cli::read_arguments(arguments);
  REQUIRE_FALSE(out.ok());
  return out.error();
}
}  // namespace

TEST_CASE("no words resume the job") { CHECK(request({}).verb == cli::Verb::resume); }

TEST_CASE("global options stand before or behind the command") {
  for (const auto& arguments : {std::vector<std::string>{"--json", "--workshop", "w.db", "suspects"}, {"suspects", "--json", "--workshop", "w.db"}, {"suspects", "--workshop=w.db", "--json"}}) {
    const cli::Request it = request(arguments);
    CHECK(it.verb == cli::Verb::suspects);
    CHECK(it.json);
    CHECK(it.workshop == "w.db");
  }
  const cli::Request deep = request({"job", "open", "osprill-primer", "--json", "--data", "d"});
  CHECK(deep.verb == cli::Verb::job_open);
  CHECK(deep.json);
  CHECK(deep.data == "d");
}

TEST_CASE("a reading keeps its words in their order") {
  CHECK(request({"read", "J3.4", "-5.06V", "--json"}).words == std::vector<std::string>{"J3.4", "-5.06V"});
  CHECK(request({"read", "U7", "L", "P", "P", "H", "-", "P", "G"}).words.size() == 8);
  CHECK(request({"symptom", "next", "to", "nothing", "boards"}).words == std::vector<std::string>{"next", "to", "nothing", "boards"});
}

TEST_CASE("job alone shows the current job and its commands are told apart") {
  CHECK(request({"job"}).verb == cli::Verb::job_show);
  CHECK(request({"job", "list"}).verb == cli::Verb::job_list);
  const cli::Request open = request({"job", "open", "m", "--tools", "meter,probe", "--tools", "scope", "--answer", "link-jp1=open", "--qualified"});
  CHECK(open.tools == std::vector<std::string>{"meter", "probe", "scope"});
  CHECK(open.answers == std::vector<std::string>{"link-jp1=open"});
  CHECK(open.qualified);
  CHECK(request({"job", "note", "it", "was", "-", "dropped"}).words.size() == 4);
}

TEST_CASE("wrong lines say what was not understood and where help is") {
  CHECK(refused({"suspects", "--tpo", "3"}).code == ErrorCode::usage);
  CHECK(refused({"suspects", "--tpo", "3"}).message.find("--tpo 3") != std::string::npos);
  CHECK(refused({"check"}).hint.find("halfsplit check --help") != std::string::npos);
  CHECK(refused({"job", "opne", "x"}).code == ErrorCode::usage);
  CHECK(refused({"--color", "sometimes", "boards"}).code == ErrorCode::usage);
}

TEST_CASE("every command has a help with an example") {
  for (const std::string& name : cli::command_names()) {
    if (name == "help") continue;
    const auto out = cli::read_arguments({name, "--help"});
    REQUIRE(out.ok());
    REQUIRE(std::holds_alternative<cli::Told>(*out));
    CHECK_MESSAGE(std::get<cli::Told>(*out).text.find("halfsplit " + name) != std::string::npos, name);
    CHECK_MESSAGE(std::get<cli::Told>(*out).text.find("xample") != std::string::npos, name);
  }
}

TEST_CASE("the version is one line") {
  const auto out = cli::read_arguments({"--version"});
  REQUIRE(out.ok());
  const std::string text = std::get<cli::Told>(*out).text;
  CHECK(text.find("halfsplit ") == 0);
  CHECK(text.find('\n') == text.size() - 1);
}
