#include "job/job.h"

#include <fmt/core.h>

namespace halfsplit::job {

Status may_add(const Job& job, const Line& line) {
  const Outcome now = job.ending().outcome;
  const bool comes_back = line.kind == LineKind::close && ending_of({line}).outcome == Outcome::came_back;
  if (comes_back && !is_closed(now)) return usage(fmt::format("job {} isn't closed: it can't come back", job.id.number), "go on with it");
  if (!is_closed(now) || comes_back || line.kind == LineKind::note) return Done{};
  return usage(fmt::format("job {} is closed ({})", job.id.number, name_of(now)), "close came-back opens it again; undo takes the closing back");
}

}  // namespace halfsplit::job
