// hygiene/house_rules.h - what DEVELOPERS.md asks of every file, checked by reading the files.
//
// A forbidden include compiles, and so does a header without its opener: only a reader finds them.
// Start at: all_complaints().
#pragma once
#include <map>
#include <set>

#include "tree.h"

namespace hygiene {

/// Module -> modules it may include, as declared by hs_module() lines of src/CMakeLists.txt.
using ModuleTable = std::map<std::string, std::set<std::string>>;
ModuleTable module_table(std::string_view cmake_text);

using Files = std::vector<File>;
using Complaints = std::vector<Complaint>;
/// Quoted includes of src obey the module table and name files that exist.
Complaints include_complaints(const Files& files, const ModuleTable& table);
/// Heavy headers and SQLite stay where they belong.
Complaints library_complaints(const Files& files);
/// Every header of src opens with `// folder/name.h - what it is`.
Complaints opener_complaints(const Files& files);
/// Files of src over 500 lines say why near their top: `// Long because: ...`.
Complaints length_complaints(const Files& files);
/// Unfinished-work words in src; paths of one machine anywhere.
Complaints word_complaints(const Files& files);
/// Printing, clocks and environment only where the table allows; catch-all only in main.cpp.
Complaints outside_world_complaints(const Files& files);
/// Names of test cases hold no comma or semicolon: the test runner would split them.
Complaints test_name_complaints(const Files& files);
/// A page (name.md) that a file speaks of is in the tree; tests of these rules left out.
Complaints page_complaints(const Files& files);
/// The top level is exactly what DEVELOPERS.md says.
Complaints top_level_complaints(const Files& files);

/// All of the above; also complains when the tree holds no module table or no header, for then nothing was checked.
Complaints all_complaints(const Files& files);

}  // namespace hygiene
