// knowledge/prior.h - prior odds of every fault of a machine: rate of its class x share of its mode x what is known of the place.
//
// Idea:     rates are faults per part and repair story, so a machine's sum is what a story of it would tell; the sum is then brought to the profile's
//           expected number of faults, since every machine on the bench has a story. What no catalogue holds is the profile's outside share.
// Shape:    one figure per fault of the catalogue, natural logarithm; the catalogue's own fault outside the model is impossible there (minus
//           infinity), its odds are in log_outside.
// Source:   Gamma-Poisson rates of the packs (mean figures); method in docs/knowledge-format.md.
// Cost:     one pass over the catalogue.
// Start at: prior_odds(), missing_rates().
#pragma once
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "fault/prior.h"
#include "knowledge/belief.h"
#include "knowledge/knowledge.h"

namespace halfsplit::knowledge {

/// What is known of this machine beside its parts.
struct Circumstances {
  enum class EarlierWork : std::uint8_t { not_known, none, known };
  std::string profile = "aged";
  EarlierWork earlier_work = EarlierWork::not_known;
  std::vector<board::PartId> worked_on;      ///< earlier work seen at these parts
  std::vector<board::PartId> in_leak;        ///< near a leaking cell or capacitor
  std::map<board::PinId, double> doubts;     ///< connections taken as likely: chance that the pin is elsewhere
  std::optional<bool> drawing_confirmed;     ///< not told: confirmed where the machine has no open questions
};

/// not_found for an unknown profile. `learned`: what repairs have taught, or nothing for the packs alone.
Result<fault::PriorOdds> prior_odds(const Knowledge& knowledge, const fault::Catalogue& catalogue, const board::Machine& machine,
                                    const Circumstances& circumstances = {}, const Beliefs* learned = nullptr);

/// Where a fault of this kind is counted; drawings are not counted at all (rate_class empty). Joints count with their part's place.
Strand strand_of(const fault::Fault& fault, const board::Machine& machine);
/// The exposure of one story of this machine by the packs alone.
Result<Population> population_of(const Knowledge& knowledge, const fault::Catalogue& catalogue, const board::Machine& machine, const std::string& profile);

/// A class whose rate is another's, with the parts concerned; in natural order of the first part.
struct MissingRate {
  std::string rate_class, technology;
  std::string from_class, from_technology;   ///< the row that stands in
  std::vector<board::PartId> parts;
};
std::vector<MissingRate> missing_rates(const Knowledge& knowledge, const board::Machine& machine);

}  // namespace halfsplit::knowledge
