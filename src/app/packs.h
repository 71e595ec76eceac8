// app/packs.h - the use cases about knowledge: what there is, lessons to others and from others, cases taken in as lessons.
//
// Errors:   bad_input with place and reason for a pack or case with anything wrong: nothing of it is taken then. A merge that pushes the culprit of a
//           past job out of the first three is only shown unless `sure`: Merged::written is false.
// Start at: list_knowledge(), merge_pack().
#pragma once
#include <string>
#include <vector>

#include "app/desk.h"
#include "report/knowledge.h"

namespace halfsplit::app {

Result<report::KnowledgeList> list_knowledge(Desk& desk);

struct ExportWish {
  std::string file, id, title, licence;  ///< file empty: the text is the answer
  bool all = false;                      ///< also what others taught
  bool replace = false;
};
Result<report::ExportedLessons> export_lessons(Desk& desk, const ExportWish& wish);
Result<report::Merged> merge_pack(Desk& desk, const std::string& file, bool sure);
/// All files or none.
Result<report::Added> add_cases(Desk& desk, const std::vector<std::string>& files);

}  // namespace halfsplit::app
