// app/places.h - where the program's data lie and where jobs are kept: from flags, the environment, the place of the program.
//
// Order:    data: --data, HALFSPLIT_DATA, <prefix>/share/halfsplit beside the program, a folder above the program that holds shared/parts,
//           halfsplit in XDG_DATA_DIRS. Workshop: --workshop, HALFSPLIT_WORKSHOP, XDG_DATA_HOME/halfsplit/workshop.db, else under HOME.
// Errors:   not_found when no data folder is there; usage when no place for the workshop can be told.
// Start at: find_places(), find_board().
#pragma once
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"

namespace halfsplit::app {

struct Places {
  std::string data;                       ///< holds boards/, knowledge/ and shared/parts/
  std::string workshop;                   ///< the database file; its folder may not be there yet
  std::vector<std::string> board_roots;   ///< folders with one folder a machine
  std::string program;                    ///< path of the running program; may be empty
  std::string parts() const { return data + "/shared/parts"; }
  std::string knowledge() const { return data + "/knowledge"; }
};

/// The outside as values, so that it can be made up in tests.
struct Outside {
  std::function<std::optional<std::string>(const char*)> variable;
  std::string program;  ///< full path of the running program; may be empty
};
/// Of this process.
Outside outside();

/// `data` and `workshop` from flags; empty = not told.
Result<Places> find_places(const std::string& data, const std::string& workshop, const Outside& outside);

/// The folder of a machine: its name in one of the board roots, or a path. not_found with "did you mean".
Result<std::string> find_board(const Places& places, const std::string& word);
/// All machine folders of the board roots, sorted by name; of one name the first root counts.
std::vector<std::string> all_boards(const Places& places);
/// Makes the folder of a file, private to the user.
Status make_folder_of(const std::string& file);

}  // namespace halfsplit::app
