// knowledge/blame.h - from a cure to counts: who is to blame, and how much, once something was touched and the machine works.
//
// Idea:     a cure teaches one count, given out by the posterior of just before it. What was touched shares it in proportion; the rest keeps its share
//           times the chance that a machine works again although its culprit was not touched (a contact that was moved, an intermittent fault).
//           Where nothing was touched, the posterior itself is the lesson.
// Start at: blames_for().
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "knowledge/lesson.h"

namespace halfsplit::knowledge {

/// A place that came into question just before the cure.
struct Suspected {
  Strand strand;
  double p = 0;          ///< 0..1; those of all places need not add up to 1
  bool touched = false;  ///< repaired, or named by who closed the job
  std::vector<std::pair<std::string, double>> modes;  ///< id and share of p; what they leave over is an unknown mode
};

/// Counts that add up to one (less where little came into question and nothing was touched), largest first. Shares under a thousandth are left out.
/// `by_itself`: 0 where the cause was shown.
std::vector<Blame> blames_for(const std::vector<Suspected>& suspected, double by_itself);
/// Brings together blames of one strand and mode; at most one culprit's count each.
std::vector<Blame> summed(std::vector<Blame> blames);

}  // namespace halfsplit::knowledge
