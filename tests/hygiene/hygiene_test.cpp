// The rules are only worth something if they complain: each is shown a small wrong tree and a small right one.
#include <doctest/doctest.h>

#include "foreign_names.h"
#include "house_rules.h"

using namespace hygiene;

namespace {
const ModuleTable kTable = module_table("hs_module(base LINK x::y)\nhs_module(board MAY base LINK fmt::fmt)\nhs_module(cli MAY base board)\n");
std::string what(const Complaints& complaints) {
  std::string out;
  for (const Complaint& complaint : complaints) out += complaint.text() + "\n";
  return out;
}
}  // namespace

TEST_CASE("the module table is read from the build file") {
  CHECK(kTable.size() == 3);
  CHECK(kTable.at("base").empty());
  CHECK(kTable.at("board") == std::set<std::string>{"base"});
  CHECK(kTable.at("cli") == std::set<std::string>{"base", "board"});
}

TEST_CASE("an include against the table is found") {
  Files files = {{"src/base/a.h", "#include \"base/b.h\"\n"}, {"src/base/b.h", ""}, {"src/board/c.cpp", "#include \"base/a.h\"\n"},
                 {"src/cli/cli.h", ""}, {"src/main.cpp", "#include \"cli/cli.h\"\n"}};
  CHECK(what(include_complaints(files, kTable)) == "");
  files.push_back({"src/base/d.cpp", "\n#include \"cli/cli.h\"\n"});
  files.push_back({"src/main2.h", "#include \"base/none.h\"\n"});
  files[4].text += "#include \"base/a.h\"\n";
  CHECK(what(include_complaints(files, kTable)) ==
        "src/main.cpp:2: main.cpp may not include base\nsrc/base/d.cpp:2: base may not include cli\n"
        "src/main2.h:1: includes \"base/none.h\", which is not in src\n");
}

TEST_CASE("heavy libraries outside their file are found") {
  CHECK(library_complaints({{"src/base/document.cpp", "#include <toml++/toml.h>\n"},
                            {"src/store/db.h", "#include <sqlite3.h>\n"},
                            {"src/cli/cli.cpp", "#include <CLI/CLI.hpp>\n"},
                            {"src/board/machine.h", "#include <boost/graph/adjacency_list.hpp>\n"}})
            .empty());
  CHECK(library_complaints({{"src/base/document.h", "#include <toml++/toml.h>\n"}}).size() == 1);
  CHECK(library_complaints({{"src/job/db.cpp", "#include <sqlite3.h>\n"}}).size() == 1);
  CHECK(library_complaints({{"src/board/machine.h", "#include <boost/graph/depth_first_search.hpp>\n"}}).size() == 1);
  CHECK(library_complaints({{"src/infer/graph.cpp", "#include <boost/graph/adjacency_list.hpp>\n"}}).size() == 1);
  CHECK(library_complaints({{"src/cli/a.cpp", "#include <CLI/CLI.hpp>\n"}, {"src/cli/b.cpp", "#include <CLI/CLI.hpp>\n"}}).size() == 1);
  CHECK(library_complaints({{"src/base/a.h", "#include <fmt/core.h>\n"}}).size() == 1);
}

TEST_CASE("a header without its opener is found") {
  CHECK(opener_complaints({{"src/base/a.h", "// base/a.h - what it is\n"}}).empty());
  CHECK(opener_complaints({{"src/base/a.h", "// base/b.h - what it is\n"}}).size() == 1);
  CHECK(opener_complaints({{"src/base/a.h", "#pragma once\n"}}).size() == 1);
  CHECK(opener_complaints({{"src/base/a.h", "// base/a.h - \n"}}).size() == 1);
}

TEST_CASE("a long file without a reason is found") {
  std::string lines;
  for (int i = 0; i < 501; ++i) lines += "int x;\n";
  CHECK(length_complaints({{"src/base/a.cpp", lines}}).size() == 1);
  CHECK(length_complaints({{"src/base/a.cpp", "// Long because: one table of opcodes, one row a line\n" + lines}}).empty());
  CHECK(length_complaints({{"src/base/a.cpp", lines.substr(7)}}).empty());
}

TEST_CASE("words of unfinished work and machine paths are found") {
  const std::string word = std::string("TO") + "DO", path = std::string("/wo") + "rk/main";
  CHECK(word_complaints({{"src/base/a.cpp", "// " + word + ": later\n"}}).size() == 1);
  CHECK(word_complaints({{"src/base/a.cpp", std::string("// Not imple") + "mented\n"}}).size() == 1);
  CHECK(word_complaints({{"docs/a.md", "run " + path + "\n"}, {"tests/a.cpp", "\"" + path + "\"\n"}}).size() == 2);
  CHECK(word_complaints({{"docs/a.md", "a net" + path + " and mastodon\n"}}).empty());
}

TEST_CASE("printing and clocks in the wrong module are found") {
  CHECK(outside_world_complaints({{"src/infer/a.cpp", "std::cout << 1;\n"}}).size() == 1);
  CHECK(outside_world_complaints({{"src/infer/a.cpp", "auto t = std::chrono::steady_clock::now();\n"}}).size() == 1);
  CHECK(outside_world_complaints({{"src/app/a.cpp", "auto t = std::chrono::steady_clock::now();\n"}}).empty());
  CHECK(outside_world_complaints({{"src/store/a.cpp", "} catch (...) {\n"}}).size() == 1);
  CHECK(outside_world_complaints({{"src/cli/a.cpp", "std::cout << 1;\n"}, {"src/main.cpp", "} catch (const std::exception& e) {\n"}}).empty());
  CHECK(outside_world_complaints({{"src/report/a.cpp", "out << runtime(0); snprintf(a, 1, b);\n"}}).empty());
}

TEST_CASE("test names that the runner would split are found") {
  CHECK(test_name_complaints({{"tests/base/a_test.cpp", std::string("TEST_") + "CASE(\"one, two\") {\n"}}).size() == 1);
  CHECK(test_name_complaints({{"tests/base/a_test.cpp", "TEST_CASE(\"one two\") { f(1, 2); }\n"}}).empty());
}

TEST_CASE("a page that is not there is found") {
  CHECK(page_complaints({{"docs/a.md", "see b.md"}, {"docs/b.md", ""}, {"src/base/a.h", "// format in docs/a.md\n"}}).empty());
  CHECK(page_complaints({{"src/base/a.h", "\n// format in docs/a-b.md\n"}}).at(0).line == 2);
}

TEST_CASE("the top level is exact") {
  Files files;
  for (const char* path : {".gitignore", "CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE", "src/a", "knowledge/a", "boards/a",
                           "tests/a", "docs/a", "shared/a"})
    files.push_back({path, ""});
  CHECK(what(top_level_complaints(files)) == "");
  files.push_back({"scripts/a", ""});
  files.erase(files.begin() + 4);
  CHECK(what(top_level_complaints(files)) == "LICENSE: is missing at the top level\nscripts: does not belong at the top level\n");
}

TEST_CASE("an empty tree does not pass") { CHECK(all_complaints({}).size() >= 2); }

TEST_CASE("generic nets are told from characteristic ones") {
  for (const char* name : {"A10", "HSYNC", "RAMCS", "ROM_SEL0", "RESET", "16MHZ", "DATA STROBE", "+5V", "ADDRESS", "COL7", "RAM0CS"}) {
    CAPTURE(name);
    CHECK(generic(name));
  }
  for (const char* name : {"QUORP", "ROM_FLIMSY", "BLORBLE2", "HSYNCZK"}) {
    CAPTURE(name);
    CHECK_FALSE(generic(name));
  }
}

TEST_CASE("foreign names come from file names and netlists") {
  const std::string ipc = "P  UNITS CUST 0\nP  NNAME00001 /quux/VERYLONGFLIMSYNAME\n317~{FLIMSY_ON}    U1    -1   D\n317/QUUX/A0        U1    -2   D\n317NET-(U1-PAD3)   U1    -3   D\n";
  const Names names = foreign_names({{"flimsy64_main_0123abc.ipc", ipc}, {"main_1.nets.csv", "Net,Ref,Pin\n/zorp/{slash}wobbly,U1,3\nRESET,U1,4\n"}});
  CHECK(names == Names{"FLIMSY", "/QUUX/VERYLONGFLIMSYNAME", "VERYLONGFLIMSYNAME", "FLIMSY_ON", "/QUUX/A0", "/ZORP/{SLASH}WOBBLY", "WOBBLY"});
}

TEST_CASE("a file that names a foreign board or net is found") {
  const Names names = {"FLIMSY", "/QUUX/A0", "WOBBLY"};
  CHECK(foreign_complaints({{"docs/a.md", "as on the\nFlimsy64 board\n"}}, names).at(0).line == 2);
  CHECK(foreign_complaints({{"boards/flimsy/board.toml", ""}}, names).size() == 1);
  CHECK(foreign_complaints({{"a.txt", "net /quux/A0\n"}}, names).size() == 1);
  CHECK(foreign_complaints({{"a.txt", "\"wobbly\"\n"}}, names).size() == 1);
  CHECK(foreign_complaints({{"a.txt", "flimsyness src/quux/A0 /quux/A01 wobbly_x unwobbly\n"}}, names).empty());
}
