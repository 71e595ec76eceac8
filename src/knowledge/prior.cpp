#include "knowledge/prior.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <unordered_map>

#include "base/text.h"
#include "fault/expand.h"
#include "parts/element.h"

namespace halfsplit::knowledge {
namespace {

using board::Machine;
using board::NetKind;
using board::PartId;
using board::PinId;
using fault::Fault;
using fault::Site;

constexpr char kSetUp[] = "set-up or operator";
constexpr double kMatedConnector = 0.1;  // contacts' worth of faults in its body
constexpr double kLeastShare = 0.02;  // of a mode that no pack tells of

bool holds(const std::vector<PartId>& list, PartId id) { return std::find(list.begin(), list.end(), id) != list.end(); }

/// Which modifiers fit a part.
class Fit {
 public:
  Fit(const Machine& machine, const Circumstances& circumstances) : machine_(machine), circumstances_(circumstances) {}

  bool fits(const Modifier& modifier, PartId id) const {
    const board::Part& part = machine_.part(id);
    const auto& classes = modifier.classes;
    if (!classes.empty() && std::find(classes.begin(), classes.end(), part.type->rate_class) == classes.end()) return false;
    if (modifier.socketed && *modifier.socketed != part.socketed) return false;
    if (modifier.worked_on && *modifier.worked_on != holds(circumstances_.worked_on, id)) return false;
    if (modifier.in_leak && *modifier.in_leak != holds(circumstances_.in_leak, id)) return false;
    if (!modifier.hazard.empty() && !in_zone(modifier.hazard, id)) return false;
    return fits_machine(modifier) && fits_rail(modifier, part, id);
  }
  bool fits_machine(const Modifier& modifier) const {
    if (modifier.earlier_work == "known") return circumstances_.earlier_work == Circumstances::EarlierWork::known;
    if (modifier.earlier_work == "none") return circumstances_.earlier_work == Circumstances::EarlierWork::none;
    return true;
  }

 private:
  bool in_zone(const std::string& hazard, PartId id) const {
    const auto& zones = machine_.zones();
    return std::any_of(zones.begin(), zones.end(), [&](const board::Zone& zone) { return zone.hazard == hazard && holds(zone.parts, id); });
  }
  bool fits_rail(const Modifier& modifier, const board::Part& part, PartId id) const {
    if (!modifier.rail_from && !modifier.rail_to) return true;
    double highest = 0;
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const board::NetId net = machine_.pin(machine_.pin_of(id, i)).net;
      if (net.known() && machine_.net(net).kind == NetKind::rail) highest = std::max(highest, std::abs(machine_.net(net).rail_v));
    }
    return highest > 0 && highest >= modifier.rail_from.value_or(0) && highest <= modifier.rail_to.value_or(highest);
  }
  const Machine& machine_;
  const Circumstances& circumstances_;
};

Strand part_strand(const board::Part& part, const Machine& machine) {
  return {part.type->rate_class, std::string(fault::technology_of(part)), part.type->id, machine.id(), part.ref};
}
Strand joint_strand(const board::Part& part, const Machine& machine) { return {kJointClass, part.socketed ? kSocketed : "", part.type->id, machine.id(), part.ref}; }

/// Rates of one part, made once: of its listed modes together, and how often each mode can sit on it.
struct PartRates {
  double listed = 0;                                  ///< faults per story, all listed modes
  double unlisted = 0;
  std::unordered_map<std::string, double> per_place;  ///< mode id -> faults per story at one place
};

class PriorMaker {
 public:
  PriorMaker(const Knowledge& knowledge, const Machine& machine, const Circumstances& circumstances, const Profile& profile, const Beliefs* learned)
      : knowledge_(knowledge), machine_(machine), profile_(profile), learned_(learned), fit_(machine, circumstances), parts_(machine.parts().size()) {
    doubts_ = circumstances.doubts;
    drawing_confirmed_ = circumstances.drawing_confirmed.value_or(machine.questions().empty());
    for (std::size_t i = 0; i < machine.parts().size(); ++i)
      if (machine.parts()[i].fitted && machine.parts()[i].type->rate_class == kSetUp) ++set_up_parts_;
    weigh_joints();
  }

  fault::PriorOdds make(const fault::Catalogue& catalogue) {
    std::vector<double> rates(catalogue.size(), 0);
    double ordinary = 0, set_up = 0;
    for (std::size_t i = 0; i < catalogue.size(); ++i) {
      const Fault& fault = catalogue.faults()[i];
      rates[i] = rate(fault);
      if (fault.site.kind == Site::Kind::drawing || fault.site.kind == Site::Kind::outside || fault.site.spare > 0) continue;
      (is_set_up(fault) ? set_up : ordinary) += rates[i];
    }
    // The set-up and the outside keep their shares whatever the machine's size.
    const double set_up_share = knowledge_.rate(kSetUp, "", profile_).faults / profile_.faults;
    const double outside = profile_.faults * ((set_up > 0 ? 0 : set_up_share) + profile_.outside) * outside_factor() * learned(Strand{kOutsideClass, "", "", machine_.id(), ""});
    const double for_set_up = set_up > 0 ? profile_.faults * set_up_share : 0;
    const double for_parts = std::max(profile_.faults * (1 - profile_.outside - set_up_share), 0.05 * profile_.faults);
    fault::PriorOdds out;
    out.log_outside = std::log(outside);
    for (std::size_t i = 0; i < catalogue.size(); ++i) {
      const Fault& fault = catalogue.faults()[i];
      const bool scaled = fault.site.kind != Site::Kind::drawing;
      const double scale = !scaled ? 1 : is_set_up(fault) ? for_set_up / set_up : ordinary > 0 ? for_parts / ordinary : 1;
      out.log_odds.push_back(fault.site.kind == Site::Kind::outside ? -std::numeric_limits<double>::infinity() : std::log(rates[i] * scale));
    }
    return out;
  }

 private:
  bool is_set_up(const Fault& fault) const { return fault.site.part.known() && machine_.part(fault.site.part).type->rate_class == kSetUp; }

  double learned(const Strand& strand) const { return learned_ ? learned_->factor(strand) : 1; }

  double outside_factor() const {
    double factor = 1;
    for (const Modifier& modifier : knowledge_.entries().modifiers)
      if (modifier.on == Modifier::On::outside && fit_.fits_machine(modifier)) factor *= modifier.factor;
    return factor;
  }

  double factor(PartId id, Modifier::On on, bool spread) const {
    double out = 1;
    for (const Modifier& modifier : knowledge_.entries().modifiers)
      if (modifier.on == on && modifier.spread == spread && fit_.fits(modifier, id)) out *= modifier.factor;
    return out;
  }

  double rate(const Fault& fault) {
    switch (fault.site.kind) {
      case Site::Kind::part:
      case Site::Kind::contact: return mode_rate(fault);
      case Site::Kind::joint: return joint_rate(fault.site.part, fault.site.pin);
      case Site::Kind::track: return track_rate(fault.site.pin);
      case Site::Kind::bridge: return bare_rate("solder bridge");
      case Site::Kind::misfit: return 0;
      case Site::Kind::drawing: return drawing_rate(fault.site);
      case Site::Kind::outside: return 0;
    }
    return 0;
  }

  double bare_rate(const char* row) const { return knowledge_.rate(row, "", profile_).faults; }

  // ---- modes of parts ----

  double mode_rate(const Fault& fault) {
    std::optional<PartRates>& made = parts_[fault.site.part.index()];
    if (!made) made = rates_of(fault.site.part);
    if (fault.effect == parts::Effect::unlisted) return made->unlisted;
    const auto it = made->per_place.find(fault.mode);
    return it == made->per_place.end() ? made->unlisted : it->second;
  }

  /// Faults per story of the part as a whole: a row per contact counts its contacts, one per machine is shared out.
  double part_rate(PartId id) const {
    const board::Part& part = machine_.part(id);
    const Rate rate = knowledge_.rate(part.type->rate_class, fault::technology_of(part), profile_);
    double total = rate.faults * knowledge_.group_factor(part.type->rate_class, part.type->function_group) * factor(id, Modifier::On::part, false);
    if (rate.per == Per::contact) total *= contacts(id);
    if (rate.per == Per::pin) total *= part.pin_count;
    if (rate.per == Per::machine) total /= static_cast<double>(std::max<std::size_t>(1, set_up_parts_));
    return total * learned(part_strand(part, machine_));
  }

  /// Elements; a connector without elements counts its pins, or hardly anything where it is mated: then the plug has the contacts.
  double contacts(PartId id) const {
    const std::size_t elements = parts::elements(*machine_.part(id).type).size();
    if (elements > 0) return static_cast<double>(elements);
    return machine_.plug_contacts(id).empty() ? std::max<double>(1, machine_.part(id).pin_count) : kMatedConnector;
  }

  PartRates rates_of(PartId id) const {
    const board::Part& part = machine_.part(id);
    const std::string_view technology = fault::technology_of(part);
    const Strand strand = part_strand(part, machine_);
    const ModeShares* known = knowledge_.shares(part.type->rate_class, technology);
    const double sample = known ? known->sample : 0, told = knowledge_.entries().unlisted->chance;
    const double total = part_rate(id), unlisted = learned_ ? learned_->mode_share(strand, fault::kUnlisted, told, sample) : told;
    PartRates out;
    out.listed = total * (1 - unlisted);
    out.unlisted = total * unlisted;
    // Modes that cannot sit on this part leave their share to the others.
    struct Placed { const parts::Mode* mode; double share, places; };
    std::vector<Placed> placed;
    double sum = 0;
    for (const parts::Mode& mode : machine_.library().modes(part.type->rate_class, technology)) {
      const auto places = static_cast<double>(fault::places_of(mode, *part.type).size());
      if (places == 0) continue;
      const double shipped = share_of(part.type->rate_class, technology, mode.id);
      placed.push_back({&mode, learned_ ? learned_->mode_share(strand, mode.id, shipped * (1 - told), sample) : shipped, places});
      sum += placed.back().share;
    }
    for (const Placed& it : placed) out.per_place[it.mode->id] = out.listed * it.share / sum / it.places;
    return out;
  }

  double share_of(std::string_view rate_class, std::string_view technology, const std::string& mode) const {
    if (const ModeShares* shares = knowledge_.shares(rate_class, technology))
      for (const ModeShare& share : shares->shares)
        if (share.mode == mode) return std::max(share.share, 1e-4);
    return kLeastShare;
  }

  // ---- joints, tracks, drawing ----

  bool has_joint(PinId pin) const {
    const board::Part& part = machine_.part(machine_.pin(pin).part);
    return part.fitted && part.unit.known() && machine_.pin(pin).net.known();
  }

  /// Strained joints take more of the joints' rate; together they keep it.
  void weigh_joints() {
    double sum = 0;
    std::size_t joints = 0;
    for (std::size_t i = 0; i < machine_.parts().size(); ++i) {
      const PartId id(i);
      double weight = 0;
      for (std::size_t k = 0; k < machine_.part(id).pin_count; ++k) {
        if (!has_joint(machine_.pin_of(id, k))) continue;
        if (weight == 0) weight = factor(id, Modifier::On::joint, true);
        sum += weight;
        ++joints;
      }
    }
    joint_mean_ = joints > 0 ? sum / static_cast<double>(joints) : 1;
  }

  /// A branch of copper that is cut at a pin looks like its open joint and is mended at the same place, so it counts there; a socket has contacts of its own.
  double joint_rate(PartId part, PinId pin) const {
    const double solder = bare_rate("solder joint") * factor(part, Modifier::On::joint, true) / joint_mean_;
    const double socket = machine_.part(part).socketed ? bare_rate("IC socket") : 0;
    return (solder + socket + track_rate(pin)) * factor(part, Modifier::On::joint, false) * learned(joint_strand(machine_.part(part), machine_));
  }
  double track_rate(PinId pin) const {
    const std::size_t pins = machine_.net(machine_.pin(pin).net).pins.size();
    return bare_rate("track or via") / static_cast<double>(std::max<std::size_t>(1, pins));
  }
  double drawing_rate(const Site& site) const {
    const auto likely = doubts_.find(site.pin);
    const double doubt = likely == doubts_.end() ? 0 : likely->second;
    return std::max(doubt / (1 - doubt), drawing_rate(site.part));
  }
  double drawing_rate(PartId part) const {
    const DrawingDoubt& drawing = *knowledge_.entries().drawing;
    return drawing.pin * (drawing_confirmed_ ? 1 : drawing.unconfirmed) * (machine_.part(part).type->custom ? drawing.custom : 1);
  }

  const Knowledge& knowledge_;
  const Machine& machine_;
  const Profile& profile_;
  const Beliefs* learned_;
  const Fit fit_;
  std::vector<std::optional<PartRates>> parts_;
  std::size_t set_up_parts_ = 0;
  double joint_mean_ = 1;
  bool drawing_confirmed_ = true;
  std::map<PinId, double> doubts_;
};

}  // namespace

Result<fault::PriorOdds> prior_odds(const Knowledge& knowledge, const fault::Catalogue& catalogue, const Machine& machine, const Circumstances& circumstances,
                                    const Beliefs* learned) {
  const auto profile = knowledge.profile(circumstances.profile);
  if (!profile.ok()) return profile.error();
  const bool any = learned && !learned->empty();
  return PriorMaker(knowledge, machine, circumstances, *profile.value(), any ? learned : nullptr).make(catalogue);
}

Strand strand_of(const Fault& fault, const Machine& machine) {
  switch (fault.site.kind) {
    case Site::Kind::part:
    case Site::Kind::contact: return part_strand(machine.part(fault.site.part), machine);
    case Site::Kind::joint: return joint_strand(machine.part(fault.site.part), machine);
    case Site::Kind::track: return joint_strand(machine.part(machine.pin(fault.site.pin).part), machine);
    case Site::Kind::bridge: return {"solder bridge", "", "", machine.id(), ""};
    case Site::Kind::drawing:
    case Site::Kind::misfit: return {};
    case Site::Kind::outside: return {kOutsideClass, "", "", machine.id(), ""};
  }
  return {};
}

Result<Population> population_of(const Knowledge& knowledge, const fault::Catalogue& catalogue, const Machine& machine, const std::string& profile) {
  Circumstances usual;
  usual.profile = profile;
  const auto odds = prior_odds(knowledge, catalogue, machine, usual);
  if (!odds.ok()) return odds.error();
  std::map<Strand, double> sums;
  for (std::size_t i = 0; i < catalogue.size(); ++i) {
    if (catalogue.faults()[i].site.spare > 0) continue;
    const Strand strand = strand_of(catalogue.faults()[i], machine);
    if (!strand.rate_class.empty() && std::isfinite(odds->log_odds[i])) sums[strand] += std::exp(odds->log_odds[i]);
  }
  sums[Strand{kOutsideClass, "", "", machine.id(), ""}] += std::exp(odds->log_outside);
  Population out;
  out.machine = machine.id();
  out.revision = machine.revision();
  out.profile = profile;
  for (const auto& [strand, expected] : sums) out.parts.push_back({strand, static_cast<Micro>(std::llround(expected * kOne))});
  out.id = population_id(out);
  return out;
}

std::vector<MissingRate> missing_rates(const Knowledge& knowledge, const Machine& machine) {
  const Profile& profile = knowledge.entries().profiles.front();
  std::vector<PartId> order;
  for (std::size_t i = 0; i < machine.parts().size(); ++i)
    if (machine.parts()[i].fitted) order.emplace_back(i);
  std::stable_sort(order.begin(), order.end(), [&](PartId a, PartId b) { return natural_less(machine.part(a).ref, machine.part(b).ref); });
  std::vector<MissingRate> out;
  for (const PartId id : order) {
    const board::Part& part = machine.part(id);
    const std::string technology(fault::technology_of(part));
    const Rate rate = knowledge.rate(part.type->rate_class, technology, profile);
    if (!rate.inherited) continue;
    const auto same = [&](const MissingRate& it) { return it.rate_class == part.type->rate_class && it.technology == technology; };
    auto found = std::find_if(out.begin(), out.end(), same);
    if (found == out.end()) found = out.insert(out.end(), {part.type->rate_class, technology, rate.row->rate_class, rate.row->technology, {}});
    found->parts.push_back(id);
  }
  return out;
}

}  // namespace halfsplit::knowledge
