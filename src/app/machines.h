// app/machines.h - the use cases about machines: which there are, what is doubtful in one, what a good one shows.
//
// Start at: list_boards(), check_board(), expect().
#pragma once
#include <string>
#include <vector>

#include "app/model.h"
#include "report/boards.h"
#include "report/expect.h"

namespace halfsplit::app {

/// A machine that can't be read is listed with its trouble.
Result<report::Boards> list_boards(const Places& places);
/// Lint, classes without a rate of their own, and the health of the drawing.
Result<report::Check> check_board(const Places& places, const std::string& board);

/// Words are parts ("U5"), pins, nets ("+5V") and functions; none: rails, functions, then every chip.
Result<report::Expect> expect(Model& model, const std::vector<std::string>& points, const board::Setup& setup = {});

}  // namespace halfsplit::app
