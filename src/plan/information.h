// plan/information.h - what a column of predicted outcomes tells about groups of hypotheses: values grouped to a few, probabilities, mutual information.
//
// Idea:     words are exact; numbers are mixtures of spreads, cut into at most six ranges where neighbouring spreads cross (deviation-weighted
//           middle). Rows with equal predictions are gathered first, so that a column costs its distinct predictions.
// Shape:    natural units: probabilities; bits.
// Start at: group_outcomes(), information().
#pragma once
#include <cstdint>
#include <vector>

#include "fault/predictor.h"

namespace halfsplit::plan {

/// Values that one reading can show, grouped, and the chance of each under every distinct prediction.
struct Grouping {
  std::vector<observe::Value> values;             ///< [group]
  std::vector<std::vector<double>> chance;        ///< [distinct prediction][group], doubt mixed in, each sums to 1
  std::vector<std::uint32_t> prediction_of;       ///< [row]
  bool tells() const { return chance.size() > 1 && values.size() > 1; }
};
Grouping group_outcomes(const fault::OutcomeTable& table, std::size_t column, double doubt);

/// The same prediction, figure by figure.
bool alike(const fault::Outcome& a, const fault::Outcome& b);

/// Mutual information in bits between the outcome and the class of the row. Weights need not sum to 1; classes are 0..class_count-1.
double information(const Grouping& grouping, const std::vector<double>& weights, const std::vector<std::uint32_t>& class_of, std::size_t class_count);

/// Chance of each group over all rows.
std::vector<double> marginal(const Grouping& grouping, const std::vector<double>& weights);

}  // namespace halfsplit::plan
