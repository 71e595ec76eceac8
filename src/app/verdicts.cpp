#include "app/verdicts.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "app/advice.h"
#include "app/choices.h"
#include "app/outcome_words.h"
#include "app/safety.h"
#include "app/swapping.h"
#include "app/test_lines.h"
#include "app/tools.h"
#include "app/tracing.h"
#include "base/text.h"
#include "infer/explain.h"
#include "plan/decide.h"

namespace halfsplit::app {
namespace {

using fault::FaultId;
using fault::SiteId;

constexpr double kLeastShare = 1e-6;   ///< suspects and modes below are left out
constexpr std::size_t kMostModes = 12;

std::optional<board::PartId> part_of(SiteId site, const fault::Catalogue& catalogue) {
  for (const FaultId fault : catalogue.faults_at(site))
    if (catalogue.fault(fault).site.part.known()) return catalogue.fault(fault).site.part;
  return std::nullopt;
}

/// A suspect's modes in words: the ranking names a mode and a place, the catalogue's description is the readable form of the same fault.
class ModeTitles {
 public:
  ModeTitles(const fault::Catalogue& catalogue, const board::Machine& machine) : catalogue_(catalogue), machine_(machine) {}

  std::vector<report::ModeLine> lines(const fault::Suspect& suspect) const {
    std::vector<report::ModeLine> out;
    std::map<std::pair<std::string, std::string>, std::vector<FaultId>> faults;
    for (const FaultId fault : catalogue_.faults_at(suspect.site)) faults[key(fault)].push_back(fault);
    std::map<std::pair<std::string, std::string>, std::size_t> used;
    for (const fault::ModeShare& share : suspect.modes) {
      const auto found = faults.find({share.mode, share.at});
      const std::size_t which = used[{share.mode, share.at}]++;
      if (out.size() == kMostModes || share.p < kLeastShare) break;
      const bool known = found != faults.end() && !found->second.empty();
      const std::string title = known ? mode_title(found->second[std::min(which, found->second.size() - 1)], catalogue_, machine_) : share.mode + (share.at.empty() ? "" : " at " + share.at);
      out.push_back({share.mode, title, share.p});
    }
    return out;
  }

 private:
  std::pair<std::string, std::string> key(FaultId id) const {
    const fault::Fault& fault = catalogue_.fault(id);
    return {fault.mode, fault.pin.known() ? machine_.long_name_of(fault.pin) : std::string()};
  }
  const fault::Catalogue& catalogue_;
  const board::Machine& machine_;
};

report::SuspectLine line_of(const fault::Suspect& suspect, const fault::Catalogue& catalogue, const board::Machine& machine) {
  report::SuspectLine out;
  out.site = suspect.name;
  if (const auto part = part_of(suspect.site, catalogue)) out.part = machine.part(*part).ref;
  out.title = suspect.title;
  out.p = suspect.p;
  out.modes = ModeTitles(catalogue, machine).lines(suspect);
  return out;
}

std::string reading_text(const Sitting& sitting, std::size_t event) {
  const auto& seen = std::get<observe::Observation>(sitting.history().events()[event]);
  return fmt::format("{} {} (line {})", observe::describe(seen.point, sitting.machine()), observe::describe(seen.value, sitting.machine()), sitting.line_number(event));
}

/// Site by the reference of a part, or by the name it is listed under.
Result<SiteId> site_named(Sitting& sitting, const std::string& word, const fault::Ranking& ranking) {
  const fault::Catalogue& catalogue = sitting.model().catalogue();
  for (const fault::Suspect& suspect : ranking.suspects)
    if (lower(suspect.name) == lower(word)) return suspect.site;
  const auto part = sitting.machine().find_part(word);
  if (!part) return part.error();
  const auto site = catalogue.site_of_part(*part);
  if (!site) return not_found(sitting.machine().part(*part).ref + " is not fitted, so nothing is known of it");
  return *site;
}

/// A function has been seen to work, so the rails have been on without harm.
bool shown_life(const observe::History& history) {
  return std::any_of(history.events().begin(), history.events().end(), [](const observe::Event& event) {
    const auto* seen = std::get_if<observe::Observation>(&event);
    return seen && !seen->on_good && seen->kind == observe::Kind::function && seen->value.word == observe::Word::right;
  });
}

plan::PlanOptions plan_options(Sitting& sitting, const fault::Ranking& ranking, bool stopped, std::size_t tests) {
  plan::PlanOptions out;
  const board::Machine& machine = sitting.machine();
  out.now = sitting.state();
  out.kinds = kinds_of(sitting.options().tools);
  const auto& tools = sitting.options().tools;
  out.spares = std::find(tools.begin(), tools.end(), "spares") != tools.end();
  for (const fault::Evidence& piece : sitting.evidence()) {
    out.asked.push_back(piece);
    // What the owner has said of a function is not asked again: trying once more is no independent look.
    if (piece.query.kind == observe::Kind::function) out.asked.push_back(piece);
  }
  out.costs = &sitting.model().knowledge().costs();
  out.caution = [&machine, now = out.now](const fault::Query& query) { return caution_for(query, now, machine); };
  const bool qualified = is_qualified(sitting.options().tools);
  const Choices choices = choices_of(sitting.options(), machine);
  out.spared = spared_sites(choices, sitting.model().predictor(), ranking);
  const std::vector<board::NetId> looks = stopped ? short_looks(sitting.history(), machine) : std::vector<board::NetId>();
  out.permitted = [&machine, qualified, stopped, looks, choices, now = out.now](const fault::Query& query) {
    if (query.point.at == observe::Point::At::function && !choices.wanted(query.point.function)) return false;
    return may_propose(query, machine, qualified, stopped, looks) && !choices.out_of_reach.bars(query, now, machine);
  };
  out.shown_life = shown_life(sitting.history());
  out.reading_doubt = sitting.model().knowledge().doubt(observe::Kind::probe, false);
  out.tests = tests;
  return out;
}

report::Next::Act act_of(plan::Decision::Act act) {
  switch (act) {
    case plan::Decision::Act::measure: return report::Next::Act::measure;
    case plan::Decision::Act::repair: return report::Next::Act::repair;
    case plan::Decision::Act::stop: return report::Next::Act::stop;
  }
  return report::Next::Act::stop;
}

/// A pin of a sweep that told nothing.
bool silent_sweep(const Sitting& sitting, const fault::Reason& reason) {
  const auto& seen = std::get<observe::Observation>(sitting.history().events()[reason.event]);
  return seen.kind == observe::Kind::continuity && seen.value.word == observe::Word::no_beep && std::abs(reason.decibans) < 0.05;
}

}  // namespace

std::string mode_title(FaultId id, const fault::Catalogue& catalogue, const board::Machine& machine) {
  const std::string whole = catalogue.describe(id, machine);
  const fault::Site& site = catalogue.fault(id).site;
  // A part's own modes are told under its name already.
  if (site.kind != fault::Site::Kind::part && site.kind != fault::Site::Kind::contact) return whole;
  const std::string head = catalogue.site_name(catalogue.site_of(id)) + ": ";
  return starts_with(whole, head) ? whole.substr(head.size()) : whole;
}

report::Slip slip_of(const Sitting& sitting, bool with_cautions) {
  report::Slip out;
  out.stops = stops(sitting.history(), sitting.machine());
  if (with_cautions) out.cautions = bench_cautions(sitting.history(), sitting.machine(), is_qualified(sitting.options().tools));
  const board::Setup state = sitting.state();
  if (!state.actions().empty()) out.bench = board::describe(state, sitting.machine());
  return out;
}

Result<report::Suspects> suspects(Sitting& sitting) {
  const auto ranking = sitting.ranking();
  if (!ranking) return ranking.error();
  report::Suspects out;
  out.slip = slip_of(sitting, false);
  for (const fault::Suspect& suspect : ranking->suspects)
    if (suspect.p >= kLeastShare) out.suspects.push_back(line_of(suspect, sitting.model().catalogue(), sitting.machine()));
  out.healthy = ranking->healthy;
  out.outside = ranking->outside;
  out.outside_is_bound = ranking->outside_is_bound;
  out.readings = sitting.evidence().size();
  for (const std::size_t piece : ranking->doubted) out.doubted.push_back(reading_text(sitting, sitting.evidence()[piece].event));
  return out;
}

Result<report::Why> why(Sitting& sitting, const std::string& part) {
  const auto ranking = sitting.ranking();
  if (!ranking) return ranking.error();
  if (part.empty() && ranking->suspects.empty()) return not_found("there is no suspect yet", "say what doesn't work: halfsplit symptom no picture");
  const auto site = part.empty() ? Result<SiteId>(ranking->suspects.front().site) : site_named(sitting, part, *ranking);
  if (!site) return site.error();
  const auto odds = sitting.odds();
  if (!odds) return odds.error();
  report::Why out;
  out.slip = slip_of(sitting, false);
  const auto place = std::find_if(ranking->suspects.begin(), ranking->suspects.end(), [&](const fault::Suspect& one) { return one.site == *site; });
  const auto& catalogue = sitting.model().catalogue();
  if (place != ranking->suspects.end()) {
    out.suspect = line_of(*place, catalogue, sitting.machine());
    out.rank = static_cast<std::size_t>(place - ranking->suspects.begin()) + 1;
  } else {
    fault::Suspect none;
    none.site = *site;
    none.name = catalogue.site_name(*site);
    out.suspect = line_of(none, catalogue, sitting.machine());
  }
  const infer::Explanation explained = infer::explain(sitting.model().predictor(), *odds, sitting.evidence(), *site);
  out.start_decibans = explained.start;
  out.result_decibans = explained.result;
  for (const fault::Reason& reason : explained.reasons)
    if (!silent_sweep(sitting, reason)) out.reasons.push_back({sitting.line_number(reason.event), reason.text, reason.decibans});
  return out;
}

Result<report::Next> next(Sitting& sitting, std::size_t tests) {
  const auto ranking = sitting.ranking();
  if (!ranking) return ranking.error();
  const auto odds = sitting.odds();
  if (!odds) return odds.error();
  report::Next out;
  out.slip = slip_of(sitting, true);
  const plan::Decision decision = plan::decide(sitting.model().predictor(), *odds, *ranking, plan_options(sitting, *ranking, !out.slip.stops.empty(), tests));
  out.act = act_of(decision.act);
  out.reason = decision.reason;
  out.p = decision.p;
  out.repair_minutes = decision.repair_minutes;
  out.measure_minutes = decision.measure_minutes;
  out.tests = test_lines(decision.tests, sitting);
  if (decision.site) {
    const auto place = std::find_if(ranking->suspects.begin(), ranking->suspects.end(), [&](const fault::Suspect& one) { return one.site == *decision.site; });
    out.site = sitting.model().catalogue().site_name(*decision.site);
    if (place != ranking->suspects.end()) {
      out.site_title = place->title;
      add_repair_advice(out, *place, sitting);
    }
  }
  out.before_power = before_first_power(sitting);
  out.trace = trace_advice(sitting, *ranking);
  return out;
}

}  // namespace halfsplit::app
