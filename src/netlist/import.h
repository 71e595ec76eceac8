// netlist/import.h - from a board file and a parts list to a machine in text that `check` accepts; what could not be told is asked, never dropped.
//
// Idea:     types come from what is written on the parts (parts/match.h); ground and supplies by vote of the power pins of known chips; functions are
//           proposed from connectors, processors and keys, as text the owner edits; links, doubtful types and parts that the list lacks become questions
//           with a default.
// Errors:   none beyond those of the readers; a part that no type fits becomes a custom type with roles guessed from its net names.
// Start at: import_board().
#pragma once
#include <string>
#include <vector>

#include "board/spec.h"
#include "netlist/bom.h"
#include "netlist/netlist.h"
#include "parts/library.h"

namespace halfsplit::netlist {

struct Imported {
  board::MachineSpec spec;
  std::size_t parts = 0;          ///< in the file
  std::size_t netted_parts = 0;   ///< with at least one pin on a net
  std::size_t typed_parts = 0;    ///< netted parts with a type of the library that is not custom
  std::size_t pins = 0;           ///< on nets
  std::size_t typed_pins = 0;     ///< of typed parts
  std::size_t nets = 0;           ///< with two pins or more
  std::vector<Deviation> deviations;
  std::vector<std::string> notes;
  std::vector<std::string> untyped;  ///< references
};

struct ImportOptions {
  std::string id;     ///< folder-like name of the machine
  std::string title;
};
/// `bom` may be nullptr: then values are not known and nothing counts as maybe not fitted.
Imported import_board(const Netlist& netlist, const Bom* bom, const parts::Library& library, const ImportOptions& options);

}  // namespace halfsplit::netlist
