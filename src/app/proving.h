// app/proving.h - the proof list of the job on the bench, in words.
//
// Start at: prove().
#pragma once
#include <string>
#include <vector>

#include "app/sitting.h"
#include "report/proof.h"

namespace halfsplit::app {

report::Proof prove(Sitting& sitting);
/// What has to be said when a job is closed as proven: one line each, what is still owed; empty when nothing is.
std::vector<std::string> still_owed(Sitting& sitting);

}  // namespace halfsplit::app
