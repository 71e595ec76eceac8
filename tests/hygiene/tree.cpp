#include "tree.h"

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace hygiene {

namespace fs = std::filesystem;

std::vector<File> read_tree(const std::string& root) {
  std::vector<File> files;
  for (auto at = fs::recursive_directory_iterator(root); at != fs::recursive_directory_iterator(); ++at) {
    const std::string name = at->path().filename().string();
    const bool left_out = at->is_directory() && (name.front() == '.' || (at.depth() == 0 && begins(name, "build")));
    // .ci is hidden and still part of the project.
    if (left_out && name != ".ci") at.disable_recursion_pending();
    if (!at->is_regular_file() || name == ".git") continue;
    std::ifstream in(at->path(), std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    files.push_back({fs::relative(at->path(), root).generic_string(), text.str()});
  }
  std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.path < b.path; });
  return files;
}

std::string Complaint::text() const { return path + (line ? ":" + std::to_string(line) : "") + ": " + what; }

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.push_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

bool begins(std::string_view text, std::string_view head) { return text.substr(0, head.size()) == head; }
bool ends(std::string_view text, std::string_view tail) {
  return text.size() >= tail.size() && text.substr(text.size() - tail.size()) == tail;
}

std::string upper(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return out;
}

}  // namespace hygiene
