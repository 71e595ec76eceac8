// app/caution_memory.h - cautions told in full the first time in a sitting, as one line naming danger and act afterwards. Stops are never shortened.
//
// Idea:     what was told is kept with the job in the workshop's cache; a pause of some hours ends a sitting. A lost cache tells everything in full.
// Start at: CautionMemory::shorten().
#pragma once
#include <set>
#include <string>
#include <vector>

#include "report/next.h"
#include "store/workshop.h"

namespace halfsplit::app {

class CautionMemory {
 public:
  /// `now`: RFC 3339.
  CautionMemory(store::Workshop& shop, job::JobId job, std::string now);
  ~CautionMemory();
  CautionMemory(const CautionMemory&) = delete;
  CautionMemory& operator=(const CautionMemory&) = delete;
  /// Told before in this sitting: its first sentence; else the whole, and it counts as told.
  std::string told(const std::string& caution);
  void shorten(std::vector<std::string>& cautions);
  /// Slip, handling, and the cautions of the first `shown` tests.
  void shorten(report::Next& next, std::size_t shown);

 private:
  store::Workshop& shop_;
  const std::string key_, now_;
  std::set<std::string> known_;
  bool changed_ = false;
};

/// The first sentence.
std::string brief(const std::string& caution);
/// Both within one sitting: less than six hours apart.
bool same_sitting(const std::string& earlier, const std::string& later);

}  // namespace halfsplit::app
