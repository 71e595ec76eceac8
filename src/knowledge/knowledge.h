// knowledge/knowledge.h - all packs of a folder as one: rates with inheritance, mode shares, doubt, and the tables that inference and planning ask.
//
// Owns:     everything by value; immutable after loading.
// Errors:   load(): up to 20 errors with file:line:column; a folder without packs is not_found.
// Threads:  const, safe to share.
// Start at: Knowledge::load(); then prior_odds() in knowledge/prior.h, match_symptoms() in knowledge/symptom.h.
#pragma once
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "base/result.h"
#include "fault/cost.h"
#include "fault/predictor.h"
#include "knowledge/pack.h"

namespace halfsplit::knowledge {

/// A rate as found for a class and technology.
struct Rate {
  double faults = 0;   ///< per `per` and story
  double sample = 0;   ///< weight in entries (Gamma shape)
  Per per = Per::part;
  const RateRow* row = nullptr;
  bool inherited = false;  ///< no row of its own: from the class as a whole, or from a parent
};

class Knowledge {
 public:
  /// Reads every .toml file of the folder, in the order of their names.
  static Result<std::shared_ptr<const Knowledge>> load(const std::string& folder);

  const Entries& entries() const { return entries_; }
  /// Over the names and bytes of all packs.
  std::uint64_t hash() const { return hash_; }

  /// Profile by id; not_found with "did you mean".
  Result<const Profile*> profile(std::string_view id) const;
  /// Nearest row: class and technology, the class, its parents. Where a row has no figure for the profile, that of "aged".
  Rate rate(std::string_view rate_class, std::string_view technology, const Profile& profile) const;
  /// Factor of a logic function group; 1 where there is none.
  double group_factor(std::string_view rate_class, std::string_view group) const;
  /// Shares of the modes of a class, or nullptr: technology first, then the class.
  const ModeShares* shares(std::string_view rate_class, std::string_view technology) const;
  /// Chance that a reading is itself wrong.
  double doubt(observe::Kind kind, bool sure) const;
  /// Chance that a spare of this grade is bad; of an untested one where the grade is unknown.
  double bad_spare(std::string_view grade) const;
  const fault::EvidenceTable& evidence() const { return *evidence_; }
  const fault::Costs& costs() const { return *costs_; }

  ~Knowledge();

 private:
  Knowledge();
  Entries entries_;
  std::uint64_t hash_ = 0;
  std::unique_ptr<fault::EvidenceTable> evidence_;
  std::unique_ptr<fault::Costs> costs_;
};

}  // namespace halfsplit::knowledge
