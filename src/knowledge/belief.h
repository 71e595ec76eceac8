// knowledge/belief.h - how far the rates of this workshop differ from the packs': a factor at each level class > technology > type > machine > position.
//
// Idea:     faults of a position are Poisson with mean exposure x the product of its levels' factors; each factor has a Gamma prior of mean 1 whose
//           shape is its equivalent sample size. The factors are found level by level until they stand still, each with the means of the others (a
//           Gamma is conjugate to a Poisson count, so each step is exact). A position may moreover be a design error: with a small chance its
//           factor comes from a wide distribution far above 1. Modes: Dirichlet shares, the class's counts on the packs', the type's on the
//           class's, the position's on the type's.
// Source:   mean-field inference for Gamma-Poisson products, as in Gopalan, Hofman and Blei 2015; Dirichlet backing-off, MacKay and Peto 1995.
// Cost:     20 rounds over the exposed positions: about 1 ms for 2,000.
// Dropped:  one level after the other from the top: a single bad position raised its whole class.
// Start at: believe(), Beliefs::factor().
#pragma once
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "knowledge/experience.h"
#include "knowledge/knowledge.h"

namespace halfsplit::knowledge {

/// One level of a strand, for people and for `close`.
struct LevelBelief {
  std::string level;      ///< "class", "technology", "type", "machine", "position"
  std::string name;       ///< "logic", "LS", "74244", ...
  double factor = 1;      ///< on the rate, against the level above
  double sample = 0;      ///< equivalent sample size: the prior's and what was counted
  double counted = 0, expected = 0;
};

class Beliefs {
 public:
  Beliefs();
  ~Beliefs();
  Beliefs(Beliefs&&) noexcept;
  Beliefs& operator=(Beliefs&&) noexcept;

  /// True where nothing was learned: every factor is 1.
  bool empty() const;
  /// On the packs' rate; 1 for what was never met.
  double factor(const Strand& strand) const;
  std::vector<LevelBelief> levels(const Strand& strand) const;
  /// Share of a mode (or of kUnlisted) on this strand, from its share in the packs and its weight there in entries.
  double mode_share(const Strand& strand, const std::string& mode, double shipped, double sample) const;
  /// Modes that were told for the class and that no library lists, with their counts.
  std::map<std::string, double> told_modes(const std::string& rate_class) const;
  /// Symptom links: how much more often people put the state of a function in these words when the cause was of this class ("checkerboard" against all
  /// that a wrong picture is called). What the state itself says of the cause is for the model. 1 where nothing is known, always within 1/3 to 3.
  double symptom_factor(const std::string& symptom, const std::string& rate_class) const;

 private:
  friend Beliefs believe(const Tally&, const std::map<std::string, Population>&, const Knowledge&, const std::string&);
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

/// Of one profile. Populations that the tally does not name are passed over.
Beliefs believe(const Tally& tally, const std::map<std::string, Population>& populations, const Knowledge& knowledge, const std::string& profile);

}  // namespace halfsplit::knowledge
