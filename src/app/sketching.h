// app/sketching.h - a machine from the numbers on its chips, and a job on it.
//
// Errors:   a number the library doesn't have; a folder that holds something else (needs_confirmation). Nothing half-written.
// Start at: sketch().
#pragma once
#include <string>
#include <vector>

#include "app/desk.h"
#include "report/jobs.h"

namespace halfsplit::app {

struct SketchWish {
  std::vector<std::string> chips;
  std::string out;    ///< folder; empty: a free one called sketch-N among the user's machines
  std::string title;
  std::vector<std::string> tools;  ///< instruments at hand
  bool replace = false;
};
Result<report::Resumed> sketch(Desk& desk, const SketchWish& wish);

}  // namespace halfsplit::app
