// netlist/names.h - net names as programs write them, made readable; a name is only a label, grouping never depends on it.
//
// Idea:     decode escapes ({SLASH}, ~{X}, ? for _), turn every overbar mark into the leading bar of the trade ("/OE"), take off what was added
//           to make names unique (#1, {1}) and the sheet path where the file uses them, and tell names made up by a program from names of people.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace halfsplit::netlist {

/// What a file's names have in common.
struct NameHabits {
  bool sheet_paths = false;  ///< "/" separates sheets; else a leading "/" is an overbar
};
NameHabits habits_of(const std::vector<std::string_view>& raw_names);

/// Pieces of one raw name.
struct ReadName {
  std::string path;    ///< "CPU", without slashes at its ends; may be empty or cut at its start
  std::string leaf;    ///< "/IRQ": decoded, bars in front
  std::string number;  ///< of "#1" or "{1}", else empty
};
ReadName read_name(std::string_view raw, const NameHabits& habits);

/// Which marks a raw name bears, for counting.
struct NameMarks { bool escaped = false, sheet_path = false, made_unique = false, suffixed = false; };
NameMarks marks_of(std::string_view raw, const NameHabits& habits);

/// A name made up by a program, and what it still tells: "NET-(U11-PAD3)", "ED-(J2-PAD4)", "N$3", "UNNAMED_2_RES_I263_N1".
struct MadeUpName {
  bool unconnected = false;     ///< says so itself
  std::string ref;              ///< empty when cut off or not in the name
  std::string pin_name;         ///< readable; empty when not in the name
  std::string pin_number;       ///< of "PAD12"
};
std::optional<MadeUpName> made_up_name(std::string_view raw);

/// A pin or net name with its overbar marks as a leading bar: "~{OE}" = "/OE", "RAS\" = "/RAS", "A_~{B}" = "A_/B".
std::string with_bars(std::string_view name);

}  // namespace halfsplit::netlist
