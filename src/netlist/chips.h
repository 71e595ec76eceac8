// netlist/chips.h - the numbers printed on the chips, as people type them: "z80 2x2764 U9=74ls245".
//
// Errors:   usage, naming every word that is no number of the library.
// Start at: read_chips().
#pragma once
#include <string>
#include <vector>

#include "base/result.h"
#include "parts/library.h"

namespace halfsplit::netlist {

struct Chip {
  std::string ref;      ///< as told ("U9=..."), else U1, U2, ... in the order of the words
  std::string printed;  ///< as typed
  std::string type, family, value;
};
/// At most 400 chips. A word is NUMBER, COUNTxNUMBER or REFERENCE=NUMBER.
Result<std::vector<Chip>> read_chips(const std::vector<std::string>& words, const parts::Library& library);

}  // namespace halfsplit::netlist
