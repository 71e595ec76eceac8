// report/replay.h - past jobs ranked again by changed knowledge or models: which culprits stand better, which worse.
#pragma once
#include <cstdint>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/style.h"

namespace halfsplit::report {

struct ReplayRow {
  std::string job, culprit;
  std::optional<std::size_t> packs, before;  ///< rank by the packs alone; rank it is compared with; 0 = not listed
  std::size_t now = 0;
  bool pushed = false;                       ///< out of the first three
};
struct Replay {
  std::string with;                          ///< what is tried; empty: the knowledge as it is
  std::vector<ReplayRow> rows;               ///< pushed out first, then worse, better, the rest
  std::size_t better = 0, worse = 0, same = 0, pushed = 0;
  std::vector<std::string> unusable;
  bool accepted = false;
};
/// `most`: rows shown that stand as before.
void print(std::ostream& out, const Replay& replay, const Style& style, std::size_t most = 10);
Json json_of(const Replay& replay);

}  // namespace halfsplit::report
