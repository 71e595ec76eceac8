// app/way_in.h - a job begun from three answers: what it is, what it does and doesn't do, which instruments are at hand.
//
// Errors:   an answer that names neither a machine nor a chip; instruments nobody knows. Nothing is stored then.
// Start at: what_it_is(), begin().
#pragma once
#include <string>
#include <vector>

#include "app/desk.h"
#include "report/jobs.h"

namespace halfsplit::app {

struct WhatItIs {
  std::string folder;               ///< of a machine at hand; empty: a sketch from `chips`
  std::vector<std::string> chips;
  std::vector<std::string> unknown; ///< numbers that the part library doesn't have, left out
};
/// A name of a machine, its folder, or numbers on chips with blanks or commas between.
Result<WhatItIs> what_it_is(const Places& places, const std::string& answer);
/// Checks the answer before anything is stored; empty = the usual ones.
Result<std::vector<std::string>> instruments(const std::string& answer);
Result<report::Resumed> begin(Desk& desk, const WhatItIs& what, const std::vector<std::string>& tools);

}  // namespace halfsplit::app
