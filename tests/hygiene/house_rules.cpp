#include "house_rules.h"

#include <algorithm>
#include <regex>
#include <sstream>

namespace hygiene {

namespace {

bool is_source(const File& file) { return begins(file.path, "src/") && (ends(file.path, ".h") || ends(file.path, ".cpp")); }

/// "base" of "src/base/text.h"; "" of "src/main.cpp".
std::string module_of(std::string_view path) {
  const std::size_t from = std::string_view("src/").size();
  const std::size_t slash = path.find('/', from);
  return slash == std::string_view::npos ? "" : std::string(path.substr(from, slash - from));
}

/// Calls see(line number, line) for each line of each source file that `wanted` accepts.
template <class Wanted, class See>
void each_line(const Files& files, Wanted wanted, See see) {
  for (const File& file : files) {
    if (!wanted(file)) continue;
    std::size_t number = 0;
    for (const std::string_view line : lines_of(file.text)) see(file, ++number, line);
  }
}

/// What stands between the marks of an include line with this opening mark, or "".
std::string included(std::string_view line, char open, char close) {
  line.remove_prefix(std::min(line.find_first_not_of(" \t"), line.size()));
  if (!begins(line, "#include")) return "";
  const std::size_t from = line.find(open);
  const std::size_t to = from == std::string_view::npos ? from : line.find(close, from + 1);
  return to == std::string_view::npos ? "" : std::string(line.substr(from + 1, to - from - 1));
}

}  // namespace

ModuleTable module_table(std::string_view cmake_text) {
  ModuleTable table;
  for (const std::string_view line : lines_of(cmake_text)) {
    if (!begins(line, "hs_module(")) continue;
    std::string body(line.substr(std::string_view("hs_module(").size()));
    std::replace(body.begin(), body.end(), ')', ' ');
    std::istringstream in(body);
    std::string name, word;
    in >> name;
    std::set<std::string>& may = table[name];
    for (bool listed = false; in >> word && word != "LINK";) {
      if (listed) may.insert(word);
      listed = listed || word == "MAY";
    }
  }
  return table;
}

Complaints include_complaints(const Files& files, const ModuleTable& table) {
  Complaints out;
  std::set<std::string> paths;
  for (const File& file : files) paths.insert(file.path);
  each_line(files, is_source, [&](const File& file, std::size_t number, std::string_view line) {
    const std::string name = included(line, '"', '"');
    if (name.empty()) return;
    const std::string from = module_of(file.path), to = module_of("src/" + name);
    if (!paths.count("src/" + name)) return out.push_back({file.path, number, "includes \"" + name + "\", which is not in src"});
    const bool from_main = file.path == "src/main.cpp";
    const auto row = table.find(from);
    const bool allowed = from_main ? to == "cli" || to == "web" : row != table.end() && (from == to || row->second.count(to));
    if (!allowed) out.push_back({file.path, number, (from_main ? "main.cpp" : from) + " may not include " + to});
  });
  return out;
}

Complaints library_complaints(const Files& files) {
  struct Rule {
    const char* head;      ///< of the included name
    std::regex where;      ///< files that may
    const char* what;
  };
  static const std::vector<Rule> rules = {
      {"toml++/", std::regex("src/base/document\\.cpp"), "toml++ stays in base/document.cpp"},
      {"nlohmann/", std::regex("src/base/json\\.cpp"), "nlohmann stays in base/json.cpp"},
      {"CLI/", std::regex("src/cli/[a-z_]+\\.cpp"), "CLI11 stays in cli"},
      {"sqlite3", std::regex("src/store/.*"), "only store sees SQLite"},
      {"boost/graph/", std::regex("src/(board|logic)/.*\\.cpp"), "Boost.Graph stays in .cpp files of board and logic"},
      {"fmt/", std::regex("src/.*\\.cpp"), "fmt stays out of headers"},
  };
  // Types of a graph may be named in a header of their modules; its algorithms may not.
  static const std::regex graph_types("boost/graph/(adjacency_list|compressed_sparse_row_graph|graph_traits)\\.hpp");
  Complaints out;
  std::map<std::string, std::set<std::string>> users;  // heavy library -> files, of which one is enough
  each_line(files, is_source, [&](const File& file, std::size_t number, std::string_view line) {
    const std::string name = included(line, '<', '>');
    const std::string folder = module_of(file.path);
    for (const Rule& rule : rules) {
      if (!begins(name, rule.head)) continue;
      if (begins(rule.head, "CLI/")) users["CLI11"].insert(file.path);
      const bool type_in_header = std::regex_match(name, graph_types) && (folder == "board" || folder == "logic");
      if (!std::regex_match(file.path, rule.where) && !type_in_header) out.push_back({file.path, number, rule.what});
    }
  });
  for (const auto& [library, where] : users)
    if (where.size() > 1) out.push_back({*where.rbegin(), 0, library + " costs 10 s a file: keep it in one .cpp"});
  return out;
}

Complaints opener_complaints(const Files& files) {
  Complaints out;
  for (const File& file : files) {
    if (!is_source(file) || !ends(file.path, ".h")) continue;
    const std::string wanted = "// " + file.path.substr(std::string("src/").size()) + " - ";
    if (!begins(file.text, wanted) || file.text.size() <= wanted.size() || file.text[wanted.size()] == '\n')
      out.push_back({file.path, 1, "must open with \"" + wanted + "what it is\""});
  }
  return out;
}

Complaints length_complaints(const Files& files) {
  constexpr std::size_t kMostLines = 500, kTop = 15;
  Complaints out;
  for (const File& file : files) {
    if (!is_source(file)) continue;
    const auto lines = lines_of(file.text);
    if (lines.size() <= kMostLines) continue;
    const auto says_why = [](std::string_view line) { return begins(line, "// Long because: ") && line.size() > 30; };
    if (!std::any_of(lines.begin(), lines.begin() + kTop, says_why))
      out.push_back({file.path, 0, std::to_string(lines.size()) + " lines: is it two nouns? If not, say so at its top: // Long because: ..."});
  }
  return out;
}

Complaints word_complaints(const Files& files) {
  // Taken apart so that this file doesn't complain about itself.
  static const std::regex unfinished(std::string("\\b(TO") + "DO|FIX" + "ME|XX" + "X)\\b");
  static const std::regex unfinished_words(std::string("not (yet )?imple") + "mented|place" + "holder", std::regex::icase);
  static const std::regex machine_path(std::string("(^|[^A-Za-z0-9_.}-])/(wo") + "rk|ro" + "ot|ho" + "me|tmp/ba" + "sh_jobs)/");
  Complaints out;
  each_line(files, [](const File&) { return true; }, [&](const File& file, std::size_t number, std::string_view view) {
    const std::string line(view.substr(0, 2000));
    if (begins(file.path, "src/") && (std::regex_search(line, unfinished) || std::regex_search(line, unfinished_words)))
      out.push_back({file.path, number, "speaks of unfinished work"});
    if (line.find('/') != std::string::npos && std::regex_search(line, machine_path))
      out.push_back({file.path, number, "names a path of one machine"});
  });
  return out;
}

Complaints outside_world_complaints(const Files& files) {
  static const std::regex printing("<iostream>|\\bstd::(cout|cerr|clog|puts|printf|putchar)\\b|\\b(printf|puts)\\(|\\bfmt::print\\b|fprintf\\(std(out|err)");
  static const std::regex asking("\\bgetenv\\(|_clock::now\\(|\\brandom_device\\b|\\bisatty\\(|\\bstd::time\\(|\\btime\\((nullptr|NULL|0)\\)");
  static const std::regex catching("\\bcatch\\s*\\(\\s*(\\.\\.\\.|(const\\s+)?std::(exception|runtime_error|logic_error)\\b)");
  static const std::set<std::string> fronts = {"", "cli", "web"}, may_ask = {"", "cli", "web", "app", "meter"};
  Complaints out;
  each_line(files, is_source, [&](const File& file, std::size_t number, std::string_view view) {
    const std::string line(view.substr(0, 2000)), folder = module_of(file.path);
    const bool last_words = file.path == "src/base/require.cpp";  // prints once, then the process is gone
    if (!fronts.count(folder) && !last_words && std::regex_search(line, printing))
      out.push_back({file.path, number, "prints: only cli, web and main do"});
    if (!may_ask.count(folder) && std::regex_search(line, asking))
      out.push_back({file.path, number, "asks clock, environment, chance or terminal: only app, meter, cli and web do"});
    if (file.path != "src/main.cpp" && std::regex_search(line, catching))
      out.push_back({file.path, number, "catches everything: only main.cpp does"});
  });
  return out;
}

Complaints test_name_complaints(const Files& files) {
  static const std::regex bad("(TEST_CASE|SUBCASE|TEST_CASE_TEMPLATE)\\(\"[^\"]*[,;][^\"]*\"");
  Complaints out;
  const auto is_test = [](const File& file) { return begins(file.path, "tests/") && ends(file.path, "_test.cpp"); };
  each_line(files, is_test, [&](const File& file, std::size_t number, std::string_view line) {
    if (std::regex_search(line.begin(), line.end(), bad)) out.push_back({file.path, number, "a test name with a comma or semicolon"});
  });
  return out;
}

Complaints page_complaints(const Files& files) {
  static const std::regex page("[A-Za-z0-9_-]+\\.md\\b");
  const auto base_name = [](const std::string& path) { return path.substr(path.rfind('/') + 1); };
  std::set<std::string> pages;
  for (const File& file : files)
    if (ends(file.path, ".md")) pages.insert(base_name(file.path));
  Complaints out;
  const auto speaks = [](const File& file) { return !begins(file.path, "tests/hygiene/"); };
  each_line(files, speaks, [&](const File& file, std::size_t number, std::string_view view) {
    if (view.find(".md") == std::string_view::npos) return;
    const std::string line(view.substr(0, 2000));
    for (auto at = std::sregex_iterator(line.begin(), line.end(), page); at != std::sregex_iterator(); ++at)
      if (!pages.count(at->str())) out.push_back({file.path, number, "speaks of " + at->str() + ", which is not in the tree"});
  });
  return out;
}

Complaints top_level_complaints(const Files& files) {
  static const std::set<std::string> wanted = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE", "src",
                                               "knowledge",      "boards",    "tests",         "docs",    "shared"};
  std::set<std::string> found;
  for (const File& file : files) found.insert(file.path.substr(0, file.path.find('/')));
  Complaints out;
  for (const std::string& name : wanted)
    if (!found.count(name)) out.push_back({name, 0, "is missing at the top level"});
  for (const std::string& name : found)
    if (!wanted.count(name) && name.front() != '.') out.push_back({name, 0, "does not belong at the top level"});
  return out;
}

Complaints all_complaints(const Files& files) {
  Complaints all;
  const auto list = std::find_if(files.begin(), files.end(), [](const File& file) { return file.path == "src/CMakeLists.txt"; });
  const ModuleTable table = list == files.end() ? ModuleTable{} : module_table(list->text);
  if (table.empty()) all.push_back({"src/CMakeLists.txt", 0, "no module table found: nothing could be checked"});
  if (std::none_of(files.begin(), files.end(), is_source)) all.push_back({"src", 0, "no sources found: nothing could be checked"});
  for (const auto& complaints :
       {include_complaints(files, table), library_complaints(files), opener_complaints(files), length_complaints(files),
        word_complaints(files), outside_world_complaints(files), test_name_complaints(files), page_complaints(files), top_level_complaints(files)})
    all.insert(all.end(), complaints.begin(), complaints.end());
  return all;
}

}  // namespace hygiene
