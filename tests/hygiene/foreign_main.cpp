// hygiene/foreign_main.cpp - `hygiene_foreign ROOT [NETLISTS]`: no file of ROOT may name a board or a characteristic net of the foreign
// netlists in the folder NETLISTS (or in HALFSPLIT_NETLISTS). Exit 0 none, 1 some, 77 without that folder.
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include "foreign_names.h"

int main(int count, char** words) {
  if (count < 2 || count > 3) {
    std::fputs("usage: hygiene_foreign ROOT [NETLISTS]\n", stderr);
    return 2;
  }
  const char* folder = count == 3 ? words[2] : std::getenv("HALFSPLIT_NETLISTS");
  if (!folder || !std::filesystem::is_directory(folder)) {
    std::puts("skipped: no input");
    return 77;
  }
  const auto names = hygiene::foreign_names(hygiene::read_tree(folder));
  const auto files = hygiene::read_tree(words[1]);
  if (names.empty() || files.empty()) {
    std::puts("no netlist with a name of its own in that folder, or no files in ROOT: nothing could be checked");
    return 1;
  }
  const auto complaints = hygiene::foreign_complaints(files, names);
  for (const auto& complaint : complaints) std::printf("%s\n", complaint.text().c_str());
  std::printf("%zu files read, %zu names looked for, %zu complaints\n", files.size(), names.size(), complaints.size());
  return complaints.empty() ? 0 : 1;
}
