// hygiene/foreign_names.h - boards that others published are input to try and never part of the project: no file of ours names them.
//
// Board names:  the first word of a netlist's file name, without digits at its end, when it has at least five letters and is no trade word.
// Net names:    the name below its sheet ("/SHEET/NAME" -> NAME), at least six characters, not made by a tool (no brackets round a pin), and
//               not just trade words and numbers in a row ("ROM_SEL0"); and every "/SHEET/NAME" as a whole.
// Start at: foreign_names(), foreign_complaints().
#pragma once
#include <set>

#include "tree.h"

namespace hygiene {

/// Upper case throughout.
using Names = std::set<std::string>;
/// Net names in a net CSV (first column) or an IPC-D-356 test netlist (columns 4-17 and the long-name list).
Names nets_of(const File& netlist);
/// True when the name is trade words, digits and separators only: any board may use it.
bool generic(std::string_view name);
/// All names that may not appear, of a folder's netlists (.ipc, .356, .nets.csv).
Names foreign_names(const std::vector<File>& netlists);
/// Places where `files` hold one of the names as a whole word, or in their own file names.
std::vector<Complaint> foreign_complaints(const std::vector<File>& files, const Names& names);

}  // namespace hygiene
