// app/learned.h - what a workshop's lessons mean for one job: the beliefs its ranking is made with. A job's own lesson never counts for itself.
//
// Start at: beliefs_for().
#pragma once
#include <memory>
#include <string>

#include "app/sitting.h"
#include "knowledge/belief.h"
#include "store/workshop.h"

namespace halfsplit::app {

/// The sums of the job's profile without its own lesson.
Result<knowledge::Tally> tally_for(const store::Workshop& workshop, const store::Learned& learned, const job::Job& job, const std::string& profile);
Result<std::shared_ptr<const knowledge::Beliefs>> beliefs_for(const store::Workshop& workshop, const Sitting& sitting);

}  // namespace halfsplit::app
