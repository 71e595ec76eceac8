// app/closing.h - the use case of ending a job: shows what the end teaches and changes, and writes both at once on a yes.
//
// Errors:   usage of the line itself, store trouble. Without a yes an ending that teaches is only shown: Closing::written is false.
// Start at: close_job().
#pragma once
#include <string>

#include "app/desk.h"
#include "report/closing.h"

namespace halfsplit::app {

Result<report::Closing> close_job(Desk& desk, const std::string& how, bool sure);
/// A job as a `.case`, with the words of its owner or without them.
Result<std::string> case_of_job(Desk& desk, const std::string& number, bool with_words);

}  // namespace halfsplit::app
