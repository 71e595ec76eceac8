// fault/fault.h - what can be wrong: a fault = (site, mode, duty); a hypothesis = a few faults; the catalogue numbers every fault of one machine.
//
// Shape:    ~2,000 to 20,000 single faults a machine; FaultId and SiteId are dense; a Hypothesis holds at most 4 faults, sorted.
// Owns:     the catalogue owns all texts; ids are of the machine it was made for.
// Start at: Catalogue::build(), Hypothesis.
#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/id.h"
#include "board/machine.h"
#include "parts/library.h"

namespace halfsplit::fault {

using FaultId = Id<struct FaultTag>;
/// A place that one repair mends: a part with its own joints; a net (track, bridge); the world outside the model.
using SiteId = Id<struct SiteTag>;

struct Site {
  enum class Kind : std::uint8_t {
    part,        ///< the part itself: travels with it
    joint,       ///< solder joint or socket contact of one pin
    contact,     ///< one contact element of a connector, jumper, switch, cable
    track,       ///< the copper of a net: one pin's branch cut from the rest
    bridge,      ///< solder or whisker between two neighbouring pins
    drawing,     ///< this pin's net is wrong in the file
    misfit,      ///< two parts in each other's places, or a plug the wrong way round or one pin over
    outside      ///< something the model does not hold
  };
  Kind kind = Kind::part;
  board::PartId part;          ///< part, joint, contact, drawing, misfit
  board::PinId pin, other;     ///< joint, track, drawing (pin); bridge (both); misfit of two parts (other: first pin of the second)
  std::uint8_t spare = 0;      ///< part, contact: 0 = the machine's own, 1.. = the spares tried in its place
  friend auto operator<=>(const Site&, const Site&) = default;
  friend bool operator==(const Site&, const Site&) = default;
};

/// Modes that no class table lists.
inline constexpr char kJointOpen[] = "joint-open", kDrawingWrong[] = "drawing-wrong", kUnlisted[] = "unlisted", kOutside[] = "outside";
inline constexpr char kJointResistive[] = "joint-resistive", kExchanged[] = "parts-exchanged", kPlugReversed[] = "plug-reversed", kPlugShifted[] = "plug-one-pin-over";
/// The rates' technology of a part: its type's own, else its family's; may be empty.
std::string_view technology_of(const board::Part& part);

struct Fault {
  Site site;
  std::string mode;            ///< id: "output-stuck-low", "joint-open", "unlisted"
  parts::Effect effect = parts::Effect::none;
  board::PinId pin;            ///< the pin or cell concerned (output, input, data bit), where the effect has one; not known for elements
  std::uint16_t element = 0;   ///< contact, resistor...: index into parts::elements() of the part's type
  std::uint16_t bit = 0;       ///< memory, processor: index of the data or address pin within its port
  std::string evidence_group;  ///< row of the evidence table
  double duty = 1;             ///< share of the time it is there
};

/// At most four faults, sorted and different. The empty hypothesis is the healthy machine.
class Hypothesis {
 public:
  static constexpr std::size_t kMost = 4;
  Hypothesis() = default;
  explicit Hypothesis(FaultId single) { faults_[size_++] = single; }
  /// With one more member; needs size() < kMost and a fault not yet in it.
  Hypothesis with(FaultId more) const;
  std::size_t size() const { return size_; }
  bool empty() const { return size_ == 0; }
  FaultId operator[](std::size_t i) const { return faults_[i]; }
  const FaultId* begin() const { return faults_.data(); }
  const FaultId* end() const { return faults_.data() + size_; }
  bool holds(FaultId fault) const;
  friend auto operator<=>(const Hypothesis&, const Hypothesis&) = default;
  friend bool operator==(const Hypothesis&, const Hypothesis&) = default;

 private:
  std::array<FaultId, kMost> faults_{};
  std::uint32_t size_ = 0;
};

/// Every single fault of a machine, in a fixed order: parts by reference; for each its modes as in the class table, the unlisted mode, then joints,
/// wrong drawings; at the end the one fault outside the model.
class Catalogue {
 public:
  /// Enumerates modes x pins (ModeAt) of all fitted parts, leaving out pins that are connected to nothing; joints of all connected pins of parts on a
  /// board; the unlisted mode of every part; wrong drawing of every such pin on a signal net. Elements of contacts are sites of their own: two can be
  /// bad at once.
  /// Behind them, for each of `spares` in turn: what can be wrong with a spare tried in that place. Its site is its own: the spare is no part of the
  /// machine and acts only in the set-ups where it is fitted.
  static Catalogue build(const board::Machine& machine, const std::vector<board::PartId>& spares = {});
  /// From ready lists, for machines made by a program: fault i sits at site_of[i] < site_names.size(). Faults with equal `site` exclude each other.
  static Catalogue of(std::vector<Fault> faults, std::vector<SiteId> site_of, std::vector<std::string> site_names) {
    Catalogue made;
    made.at_site_.resize(site_names.size());
    made.site_parts_.resize(site_names.size());
    for (std::size_t i = 0; i < faults.size(); ++i) made.at_site_[site_of[i].index()].push_back(FaultId(i));
    made.faults_ = std::move(faults);
    made.site_of_ = std::move(site_of);
    made.site_names_ = std::move(site_names);
    return made;
  }
  const std::vector<Fault>& faults() const { return faults_; }
  const Fault& fault(FaultId id) const { return faults_[id.index()]; }
  std::size_t size() const { return faults_.size(); }
  SiteId site_of(FaultId id) const { return site_of_[id.index()]; }
  std::size_t site_count() const { return site_names_.size(); }
  /// "U14", "track at U5.8", "outside the model".
  const std::string& site_name(SiteId id) const { return site_names_[id.index()]; }
  std::optional<SiteId> site_of_part(board::PartId part) const;
  /// The faults at a site of a spare; nothing for other sites.
  bool is_spare(SiteId site) const { return !at_site_[site.index()].empty() && fault(at_site_[site.index()].front()).site.spare > 0; }
  const std::vector<FaultId>& faults_at(SiteId site) const { return at_site_[site.index()]; }
  /// "U14: output stuck low at U14.9 (2Y3)".
  std::string describe(FaultId id, const board::Machine& machine) const;

 private:
  std::vector<Fault> faults_;
  std::vector<SiteId> site_of_;
  std::vector<std::string> site_names_;
  std::vector<std::optional<board::PartId>> site_parts_;
  std::vector<std::vector<FaultId>> at_site_;
};

}  // namespace halfsplit::fault
