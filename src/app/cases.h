// app/cases.h - a job as a `.case`: the lines that a person would type to have it again.
//
// Idea:     with its words, or without them for others: then title, remarks and wordings are left out, a symptom is told by its function and state,
//           and a line that can't be told without its words is left out.
// Start at: case_text().
#pragma once
#include <string>

#include "app/sitting.h"

namespace halfsplit::app {

enum class Wording { kept, left_out };
std::string case_text(const Sitting& sitting, Wording wording);

}  // namespace halfsplit::app
