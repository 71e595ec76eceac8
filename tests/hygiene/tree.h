// hygiene/tree.h - the project's own text files, read once; build folders and version control left out.
#pragma once
#include <string>
#include <string_view>
#include <vector>

namespace hygiene {

struct File {
  std::string path;  ///< from the root, with '/'
  std::string text;
};
/// Every file below root, in path order. Hidden folders and top-level folders named build* are left out.
std::vector<File> read_tree(const std::string& root);

/// Something wrong at a place.
struct Complaint {
  std::string path;
  std::size_t line = 0;  ///< 0: the whole file
  std::string what;
  std::string text() const;
};

std::vector<std::string_view> lines_of(std::string_view text);
bool begins(std::string_view text, std::string_view head);
bool ends(std::string_view text, std::string_view tail);
std::string upper(std::string_view text);

}  // namespace hygiene
