// infer/rank.h - from readings to suspects: posterior probability of every set of up to four faults that the readings leave standing.
//
// Shape:    all single faults are scored in one batch per set-up; pairs and more only where a reading stays unexplained.
// Owns:     a Session keeps the scores of the singles, so that one more reading costs one more column.
// Errors:   none; a spent budget is answered by more mass in Ranking::outside.
// Cost:     one step per single and set-up, then at most RankOptions::steps.        Threads: one Session, one thread.
// Start at: rank(), Session.
#pragma once
#include <cstdint>
#include <memory>
#include <vector>

#include "fault/predictor.h"
#include "fault/prior.h"
#include "fault/ranking.h"

namespace halfsplit::infer {

struct RankOptions {
  std::size_t max_faults = 3;   ///< members of one hypothesis, 1..Hypothesis::kMost
  std::uint64_t steps = 3300;   ///< simulations spent beyond the singles; about 40 ms at 12 us each
  /// A fault is added to a hypothesis only where it could raise the log-likelihood of some reading by this much (natural logarithm: ten times); what gains
  /// less is a harmless extra and belongs to the hypothesis without it. Minus infinity enumerates everything.
  double least_gain = 2.3;
  double stop_share = 1e-5;     ///< stop when the next hypothesis is expected to hold less than this share of the found weight
  std::size_t leaves = 400;     ///< hypotheses handed back
};

/// The ranking for this evidence. Without evidence every suspect has its prior probability. Same inputs, same answer to the bit.
fault::Ranking rank(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                    const RankOptions& options = {});

/// Readings come one by one: rank() scores only what is new since the last one. The predictor must outlive it.
class Session {
 public:
  Session(const fault::Predictor& predictor, fault::PriorOdds priors);
  ~Session();
  Session(Session&&) noexcept;
  Session& operator=(Session&&) noexcept;
  void add(const fault::Evidence& evidence);
  void add(const std::vector<fault::Evidence>& evidence);
  const std::vector<fault::Evidence>& evidence() const;
  fault::Ranking rank(const RankOptions& options = {}) const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace halfsplit::infer
