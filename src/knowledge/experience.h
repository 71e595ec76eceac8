// knowledge/experience.h - all lessons together, and the sums that beliefs are made of. Learning is a pure function: (experience, lesson) -> experience.
//
// Idea:     an experience is a set of lessons, for each id the newest version; two differing texts of one version stand side by side and count half
//           each. Merging is the union of such sets, so it counts nothing twice, whatever the route and the order.
// Owns:     everything by value.
// Cost:     learn() and merged() O(log n) a lesson; tally_of() one pass.
// Start at: learn(), unlearn(), merged(), tally_of().
#pragma once
#include <map>
#include <set>
#include <string>
#include <utility>

#include "knowledge/lesson.h"

namespace halfsplit::knowledge {

struct Held {
  std::int64_t version = 0;
  std::set<Lesson> variants;  ///< more than one: a conflict, shown side by side
  friend bool operator==(const Held&, const Held&) = default;
};

struct Experience {
  std::map<std::string, Held> lessons;            ///< by id
  std::map<std::string, Population> populations;  ///< by id
  friend bool operator==(const Experience&, const Experience&) = default;
};

Experience learn(Experience experience, const Lesson& lesson);
/// As if the lesson had never been there.
Experience unlearn(Experience experience, const std::string& id);
Experience merged(Experience one, const Experience& other);

/// Whole sums over lessons of one profile; equal experiences give equal sums to the last digit.
struct Tally {
  std::map<Strand, Micro> blamed;
  std::map<std::pair<Strand, std::string>, Micro> modes;         ///< by strand and mode
  std::map<std::pair<std::string, std::string>, Micro> symptoms;  ///< by symptom and class
  std::map<std::string, Micro> stories;                           ///< blame given out, by population
  void add(const Lesson& lesson, std::int64_t parts, std::int64_t of);  ///< `parts`/`of` of the lesson: 1, 1 for one without a conflict
  void add(const Held& held);
  void take_away(const Held& held);
  bool empty() const { return stories.empty(); }
  friend bool operator==(const Tally&, const Tally&) = default;
};
/// Of each profile apart.
std::map<std::string, Tally> tally_of(const Experience& experience);

}  // namespace halfsplit::knowledge
