// app/past.h - a repair told as a case, as a job on the machine at hand.
//
// Errors:   those of the case; lines that mean nothing on the machine, with their number.
// Start at: past_job().
#pragma once
#include <string>

#include "app/desk.h"

namespace halfsplit::app {

/// `file` labels places. The job is not in the workshop.
Result<job::Job> past_job(Desk& desk, const std::string& text, const std::string& file, ModelShelf& shelf);

}  // namespace halfsplit::app
