// app/difference.h - two models of one machine held against each other: what a change of the board changes on a good machine.
//
// Idea:     the same predictor is asked about every pin, net and function of both, with nothing wrong; names join the two, since ids don't.
// Cost:     two models and one healthy run each; some 50 ms on 300 parts.
// Start at: expect_with(), difference().
#pragma once
#include <string>
#include <vector>

#include "app/model.h"
#include "report/difference.h"

namespace halfsplit::app {

/// `points`: as in expect(); none = everything.
Result<report::Difference> difference(Model& before, Model& after, const std::vector<std::string>& points, const board::Setup& setup = {});

/// The machine of a folder with its `standing` amendments, against the same with `changes` too.
Result<report::Difference> expect_with(const Places& places, const std::string& folder, const std::vector<std::string>& standing, const std::vector<std::string>& changes,
                                       const std::vector<std::string>& points, const board::Setup& setup = {});

/// The setup on another form of the machine; what is gone there is left out.
board::Setup carried(const board::Setup& setup, const board::Machine& from, const board::Machine& to);

}  // namespace halfsplit::app
