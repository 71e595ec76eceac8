// fault/ranking.h - what inference answers: leaves with their probability, suspects by site to repair, and the mass outside.
#pragma once
#include <string>
#include <vector>

#include "fault/fault.h"
#include "fault/predictor.h"

namespace halfsplit::fault {

/// A hypothesis that explains the evidence, with its posterior probability.
struct Leaf {
  Hypothesis hypothesis;
  double p = 0;              ///< of all mass, the outside included
  double log_prior_odds = 0;
  double log_likelihood = 0;
};
struct ModeShare { std::string mode; std::string at; double p = 0; };  ///< `at`: the pin, cell or element, as shown
struct Suspect {
  SiteId site;
  std::string name;          ///< "U14"
  std::string title;         ///< "74LS244 octal buffer"
  double p = 0;              ///< that a fault behind the readings sits here; without readings, any fault
  std::vector<ModeShare> modes;
};
struct Ranking {
  std::vector<Leaf> leaves;       ///< most probable first
  std::vector<Suspect> suspects;  ///< most probable first; a pair counts for both of its sites
  double healthy = 0;             ///< no fault at all
  double outside = 0;             ///< mass not searched or not in the model (an upper estimate)
  bool outside_is_bound = false;  ///< true where `outside` is a proven upper limit
  std::uint64_t steps = 0;        ///< hypotheses simulated
  std::vector<std::size_t> doubted;  ///< evidence indices that the best leaves take as misread
};

/// Weight of evidence of one observation for one suspect against all others, in decibans (10 log10 of the likelihood ratio).
struct Reason {
  std::size_t event = 0;
  std::string text;          ///< "U5.8 low: expected pulsing"
  double decibans = 0;
};

/// A test worth doing next.
struct Outlook { observe::Value value; double p = 0; std::string means; };
struct Test {
  Query query;
  std::vector<Query> also;         ///< further pins of one walk round a chip, in the order of their numbers; empty = one point only
  std::vector<std::string> steps;  ///< what the hand does first: "power off", "pull U4", ...
  double minutes = 0;
  double bits = 0;                 ///< expected information about the site to repair
  std::vector<Outlook> outcomes;   ///< most probable first
  std::string caution;             ///< empty = none
  std::string reason;              ///< "halves the suspects", "verifies U14"
};

}  // namespace halfsplit::fault
