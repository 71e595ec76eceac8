// infer/scores.h - log-likelihood of every piece of evidence under every single fault, one column per piece; grows by columns.
//
// Idea:     a fault outside the reach of a query predicts what the healthy machine predicts, so it is neither simulated nor stored apart.
// Shape:    columns = evidence, rows = faults of the catalogue; natural logarithms.
// Start at: Scores::add(), Scores::relevant().
#pragma once
#include <cstdint>
#include <vector>

#include "base/budget.h"
#include "fault/predictor.h"
#include "fault/prior.h"

namespace halfsplit::infer {

/// A reading that can't be is held to be as improbable as this (natural logarithm), so that differences stay finite.
constexpr double kImpossible = -500;

class Scores {
 public:
  Scores(const fault::Predictor& predictor, fault::PriorOdds priors);
  /// Scores the new evidence for the healthy machine and every fault in its reach: one batch per set-up.
  void add(const std::vector<fault::Evidence>& evidence);

  const fault::Predictor& predictor() const { return *predictor_; }
  const fault::PriorOdds& priors() const { return priors_; }
  const std::vector<fault::Evidence>& evidence() const { return evidence_; }
  /// Faults that can change at least one piece of evidence and are possible at all, sorted.
  std::vector<fault::FaultId> relevant() const;
  bool touches(fault::FaultId fault, std::size_t column) const { return touched_[column][fault.index()] != 0; }
  double healthy(std::size_t column) const { return healthy_[column]; }
  double single(fault::FaultId fault, std::size_t column) const { return columns_[column][fault.index()]; }
  /// log P(all evidence | this fault alone); an unlisted fault is scored jointly.
  double total(fault::FaultId fault) const;
  double healthy_total() const;
  /// No reading of this piece can be more probable than this (natural logarithm).
  double best(std::size_t column) const { return best_[column]; }
  bool is_unlisted(fault::FaultId fault) const { return unlisted_[fault.index()] != 0; }
  std::uint64_t steps() const { return steps_; }

 private:
  void score_group(const std::vector<std::size_t>& group);
  void score_unlisted();

  const fault::Predictor* predictor_;
  fault::PriorOdds priors_;
  std::vector<fault::Evidence> evidence_;
  std::vector<std::vector<double>> columns_;         ///< [column][fault]
  std::vector<std::vector<std::uint8_t>> touched_;   ///< [column][fault]
  std::vector<double> healthy_, best_;               ///< [column]
  std::vector<std::uint8_t> unlisted_;               ///< [fault]
  std::vector<double> joint_;                        ///< [fault], unlisted ones only
  std::uint64_t steps_ = 0;
};

}  // namespace halfsplit::infer
