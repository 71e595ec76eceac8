// predict/answers.h - what the activity engine says for many hypotheses and looks, with a table of all single faults in the untouched setup.
//
// Cost:     the table is filled at the first question for many hypotheses: one packed run of all single faults, or read from where a keeper has it;
//           afterwards a single costs a look-up.
// Start at: Answers::ask().
#pragma once
#include <cstdint>
#include <memory>
#include <vector>

#include "base/budget.h"
#include "board/setup.h"
#include "fault/fault.h"
#include "logic/activity.h"
#include "predict/predictor.h"

namespace halfsplit::predict {

/// A hypothesis as faults, with what was seen at the outputs of its unlisted part.
struct Case {
  fault::Hypothesis hypothesis;
  std::vector<std::pair<std::uint32_t, logic::Seen>> observed_outputs;
};

class Answers {
 public:
  Answers(const fault::Catalogue& catalogue, std::shared_ptr<const logic::Activity> activity, TableKeeper* keeper = nullptr);
  /// out[c * looks.size() + k]: set of what can be seen (logic::Seen); 0 where the budget was spent.
  std::vector<std::uint8_t> ask(const board::Setup& setup, const std::vector<Case>& cases, const std::vector<logic::Look>& looks, StepBudget& budget) const;
  const logic::Activity& activity() const { return *activity_; }

 private:
  void fill_table() const;
  bool load_table(std::size_t rows) const;
  /// Index of a look in the table's columns, or nothing.
  std::optional<std::size_t> column(const logic::Look& look) const;
  bool differs_at_leg(const fault::Hypothesis& hypothesis, const logic::Look& look) const;

  const fault::Catalogue& catalogue_;
  std::shared_ptr<const logic::Activity> activity_;
  TableKeeper* keeper_ = nullptr;
  mutable std::vector<std::uint8_t> table_;     ///< row per distinct acting fault, first row healthy
  mutable std::vector<std::uint32_t> row_of_;   ///< per fault
  std::size_t columns_ = 0, first_test_ = 0;
  std::vector<logic::Look> test_looks_;         ///< what memory reports ask: banks per data pin, then who starts
};

}  // namespace halfsplit::predict
