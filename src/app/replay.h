// app/replay.h - past jobs ranked again, just before their cure, by one state of the knowledge and by another; no job's own lesson counts for it.
//
// Idea:     a row is a culprit of a closed job of this workshop, or of a merged lesson that holds its repair, where its count is at least a half.
//           A culprit is pushed out when it was among the first three and no longer is.
// Cost:     a machine's model is opened once; a ranking is one to some tens of milliseconds.
// Start at: PastJobs::of(), PastJobs::rank(); replay() is the command.
#pragma once
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "app/desk.h"
#include "report/replay.h"

namespace halfsplit::app {

class PastJobs {
 public:
  static Result<PastJobs> of(Desk& desk);
  PastJobs(PastJobs&&) noexcept;
  ~PastJobs();

  std::size_t size() const;
  /// Repairs that can't be ranked on the machines at hand, with the reason.
  const std::vector<std::string>& unusable() const;
  const std::string& id(std::size_t row) const;      ///< lesson and culprit
  const std::string& title(std::size_t row) const;   ///< "job 3, osprill-primer"
  const std::string& culprit(std::size_t row) const;
  /// Where each row's culprit stands by these sums: from 1, those equally probable share the better one; 0 = not listed. `learned` nothing: the packs alone.
  Result<std::vector<std::size_t>> rank(const store::Learned* learned, const std::map<std::string, knowledge::Held>& own);

 private:
  PastJobs();
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

/// References that a lesson blames by at least half a count.
std::vector<std::string> culprits_in(const knowledge::Lesson& lesson);

inline constexpr std::size_t kForemost = 3;
bool pushed_out(std::size_t before, std::size_t after);
/// Puts the rows in order, those pushed out first, and counts them.
void sort_and_count(report::Replay& replay);
/// Lessons by id, to be left out one at a time.
Result<std::map<std::string, knowledge::Held>> lessons_of(const store::Workshop& workshop);

/// All past jobs by the packs alone, as last accepted, and now. Accepts the ranks of now where no culprit was pushed out, or with `sure`.
Result<report::Replay> replay(Desk& desk, bool sure);

}  // namespace halfsplit::app
