// What a user sees: tests/golden/*.txt hold commands and their whole output, run through the real program with a workshop of their own.
// HALFSPLIT_UPDATE_GOLDEN=1 writes the files anew; read the difference before keeping it.
#include <doctest/doctest.h>

#include <sys/wait.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

namespace fs = std::filesystem;

namespace {

std::string read_all(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + by.size())) text.replace(at, what.size(), by);
  return text;
}

/// Shares move with every new rate: only that one is told is compared. A column of them may shift.
std::string without_shares(const std::string& text) {
  static const std::regex share("(over |under )?[0-9.]+ %");
  return std::regex_replace(text, share, "# %");
}

class Shell {
 public:
  Shell() {
    std::string pattern = (fs::temp_directory_path() / "halfsplit-golden-XXXXXX").string();
    folder_ = mkdtemp(pattern.data());
  }
  ~Shell() { fs::remove_all(folder_); }
  /// Output of both streams, and the exit code as a last line where it isn't 0.
  std::string run(const std::string& line) const {
    const fs::path program = HALFSPLIT_PROGRAM;
    std::ofstream(folder_ / "line.sh") << line << "\n";
    const std::string command = "cd '" + folder_.string() + "' && env -i PATH='" + program.parent_path().string() + "':/usr/bin:/bin HOME='" + folder_.string() +
                                "' HALFSPLIT_DATA='" HALFSPLIT_SOURCE_DIR "' HALFSPLIT_NOW=2026-11-25T10:00:00Z LANG=C.UTF-8 COLUMNS=100 sh ./line.sh 2>&1 </dev/null";
    FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    std::string out;
    std::array<char, 4096> buffer{};
    for (std::size_t got = 0; (got = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) out.append(buffer.data(), got);
    const int state = pclose(pipe);
    if (!out.empty() && out.back() != '\n') out += '\n';
    const int code = WIFEXITED(state) ? WEXITSTATUS(state) : 128;
    if (code != 0) out += "[exit " + std::to_string(code) + "]\n";
    return without_shares(replaced(replaced(out, folder_.string(), "$HERE"), HALFSPLIT_SOURCE_DIR, "$DATA"));
  }

 private:
  fs::path folder_;
};

/// The text with every command's output made anew.
std::string replayed(const std::string& text) {
  const Shell shell;
  std::string out, line;
  std::istringstream in(text);
  while (std::getline(in, line)) {
    const bool command = line.rfind("$ ", 0) == 0, comment = line.rfind("#", 0) == 0;
    if (command || comment) out += line + "\n";
    if (command) out += shell.run(line.substr(2));
  }
  return out;
}

}  // namespace

TEST_CASE("what a user sees is as kept in tests/golden") {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(HALFSPLIT_SOURCE_DIR "/tests/golden"))
    if (entry.path().extension() == ".txt") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  REQUIRE_FALSE(files.empty());
  for (const fs::path& file : files) {
    const std::string kept = read_all(file), now = replayed(kept);
    if (const char* update = std::getenv("HALFSPLIT_UPDATE_GOLDEN"); update && *update) {
      std::ofstream(file, std::ios::binary) << now;
      continue;
    }
    CHECK_MESSAGE(kept == now, file.filename().string(), " differs; now:\n", now);
  }
}
