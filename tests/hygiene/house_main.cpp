// hygiene/house_main.cpp - `hygiene_house ROOT`: prints every broken rule of the house, one a line; exit 1 when there is any.
#include <cstdio>

#include "house_rules.h"

int main(int count, char** words) {
  if (count != 2) {
    std::fputs("usage: hygiene_house ROOT\n", stderr);
    return 2;
  }
  const auto files = hygiene::read_tree(words[1]);
  const auto complaints = hygiene::all_complaints(files);
  for (const auto& complaint : complaints) std::printf("%s\n", complaint.text().c_str());
  std::printf("%zu files read, %zu complaints\n", files.size(), complaints.size());
  return complaints.empty() ? 0 : 1;
}
