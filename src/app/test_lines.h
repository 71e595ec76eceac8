// app/test_lines.h - a proposed test as the person reads it: where, with what, what a good machine shows, and how to type what was seen.
//
// Start at: test_lines().
#pragma once
#include <vector>

#include "app/sitting.h"
#include "fault/ranking.h"
#include "report/next.h"

namespace halfsplit::app {

std::vector<report::TestLine> test_lines(const std::vector<fault::Test>& tests, Sitting& sitting);

}  // namespace halfsplit::app
