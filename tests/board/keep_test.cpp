#include "board/keep.h"

#include <filesystem>
#include <fstream>

#include "base/file.h"
#include "board/amendment.h"
#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;

TEST_CASE("a kept correction joins the list and leaves the rest of the file as it was") {
  CHECK(with_amendment("format = 1\n# mine\n[[function]]\nid = \"x\"\n", "missing U8") == "format = 1\n# mine\namendments = [\"missing U8\"]\n\n[[function]]\nid = \"x\"\n");
  CHECK(with_amendment("amendments = []\n", "a") == "amendments = [\"a\"]\n");
  CHECK(with_amendment("amendments = [\"x ] y\"] # why\n", "a") == "amendments = [\"x ] y\", \"a\"] # why\n");
  CHECK(with_amendment("amendments = [\n  'b', # ] not here\n  \"c\",\n]\n", "a") == "amendments = [\n  'b', # ] not here\n  \"c\", \"a\"\n]\n");
}

TEST_CASE("what was kept is read back with the machine") {
  const std::filesystem::path folder = std::filesystem::temp_directory_path() / "halfsplit-keep-test";
  std::filesystem::remove_all(folder);
  std::filesystem::create_directories(folder);
  for (const auto& [name, text] : sample::bell()) std::ofstream(folder / name) << text;
  REQUIRE(keep_amendment(folder.string(), "drawing missing U1").ok());
  const auto spec = load_spec(folder.string());
  REQUIRE(spec.ok());
  CHECK(spec->amendments.back() == "drawing missing U1");
  std::filesystem::remove_all(folder);
}

TEST_CASE("a change may be said behind its part") {
  const auto kind = [](const char* text) { return parse_amendment(text).value().kind; };
  CHECK(kind("C8 missing") == Amendment::Kind::missing);
  CHECK(kind("Q3.e lifted") == Amendment::Kind::lift);
  CHECK(kind("JP1 open") == Amendment::Kind::jumper);
  CHECK(kind("ours U9 74hc157") == Amendment::Kind::becomes);
  CHECK(describe(parse_amendment("C8 missing").value()) == "C8 not fitted");
  CHECK(same_change(parse_amendment("C8 missing").value(), parse_amendment("ours missing C8").value()));
  CHECK_FALSE(parse_amendment("solder U8").ok());
}
