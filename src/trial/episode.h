// trial/episode.h - one diagnosis from first symptoms to a verdict, by a policy, against a hidden world.
//
// Start at: run_episode().
#pragma once
#include <functional>
#include <optional>
#include <vector>

#include "fault/prior.h"
#include "fault/ranking.h"
#include "trial/world.h"

namespace halfsplit::trial {

enum class Policy : std::uint8_t {
  planned,     ///< next test by information per minute
  random,      ///< any probe point
  half_split   ///< the middle of the suspect chain: the point that half of the suspects' weight can reach
};

struct EpisodeOptions {
  Policy policy = Policy::planned;
  bool functions_told = true;      ///< what works and what does not is known at the start
  std::size_t most_tests = 12;
  double declare_at = 0.99;        ///< share of the found weight at which the search ends
  double reading_doubt = 0.02, function_doubt = 0.01;
  std::uint64_t seed = 1;
  std::function<void(const std::string&)> log;  ///< one line a test, where wanted
  std::optional<fault::Hypothesis> watch;       ///< its likelihood stands beside each logged reading
};

struct EpisodeResult {
  std::optional<std::size_t> rank;   ///< of the true site among the suspects, 0 = first
  bool joint_named = false;          ///< the foremost hypothesis holds the true fault itself: place and mode
  std::size_t tests = 0;             ///< an isolating test counts as one, a walk round a chip too
  std::size_t isolations = 0;        ///< of them in a set-up that isolates
  std::size_t points = 0;            ///< readings taken, the pins of walks one by one
  double claimed = 0;                ///< share of the found weight at the first suspect
  std::size_t wrong_readings = 0;
};

/// `true_site`, `true_fault`: what is hidden, in the model's own catalogue (nothing: not in it).
EpisodeResult run_episode(const fault::Predictor& model, const fault::PriorOdds& priors, World& world,
                          std::optional<fault::SiteId> true_site, std::optional<fault::FaultId> true_fault, const EpisodeOptions& options);

}  // namespace halfsplit::trial
