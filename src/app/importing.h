// app/importing.h - the use cases with files of other programs: a machine from a netlist and a parts list, and back.
//
// Errors:   those of the readers (file:line:column); a folder that holds something else (needs_confirmation); nothing half-written.
// Start at: import_machine(), export_machine().
#pragma once
#include <cstdint>
#include <string>
#include <vector>

#include "app/places.h"
#include "report/imported.h"

namespace halfsplit::app {

struct ImportWish {
  std::vector<std::string> files;  ///< one netlist
  std::string bom;                 ///< may be empty
  std::string out;                 ///< folder
  std::string id, title;           ///< empty: from the folder's name
  bool replace = false;
};
Result<report::Imported> import_machine(const Places& places, const ImportWish& wish);

/// Writes OUT.ipc and OUT.csv, for a machine of several units OUT-UNIT.ipc and so on; seed 0 writes them to the letter.
Result<report::Exported> export_machine(const Places& places, const std::string& board, const std::string& out, std::uint64_t seed);

}  // namespace halfsplit::app
