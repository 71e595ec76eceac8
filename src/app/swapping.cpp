#include "app/swapping.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>

#include "app/safety.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using observe::Kind;
using observe::Observation;
using observe::SwapOutcome;
using observe::Word;
using Way = observe::Swap::Way;

/// The last word on each function and memory report, where it is not right.
std::vector<Observation> complaints(const Sitting& sitting) {
  std::map<std::pair<Kind, observe::Point>, Observation> last;
  const observe::Epoch now = sitting.history().epochs().back();
  for (std::size_t i = now.first; i < now.last; ++i) {
    const auto* seen = std::get_if<Observation>(&sitting.history().events()[i]);
    if (seen && !seen->on_good && (seen->kind == Kind::function || seen->kind == Kind::memory) && seen->value.word) last.insert_or_assign({seen->kind, seen->point}, *seen);
  }
  std::vector<Observation> out;
  for (const auto& [where, seen] : last)
    if (*seen.value.word != Word::right && !seen.value.relative) out.push_back(seen);
  return out;
}

std::string name_of(const Observation& seen, const board::Machine& machine) {
  return seen.point.at == observe::Point::At::function ? machine.function(seen.point.function).title : observe::describe(seen.point, seen.kind, machine);
}

Observation again(Observation seen, SwapOutcome outcome, const board::Setup& now, const std::string& typed, const std::string& when) {
  seen.setup = now;
  seen.typed = typed;
  seen.when = when;
  seen.sure = false;
  if (outcome == SwapOutcome::changed) seen.value.relative = observe::Relative{observe::Relative::How::different, {}};
  if (outcome == SwapOutcome::cured) {
    seen.value = {};
    seen.value.word = Word::right;
    if (seen.kind == Kind::memory) seen.value.failing = 0;
  }
  return seen;
}

Status may_tell(const observe::Swap& swap, const std::vector<Observation>& wrong, const board::Machine& machine) {
  if (!swap.now.powered()) return usage("an outcome, but the bench state says: " + board::describe(swap.now, machine), "type the swap, then the state power-on, then swap and the outcome");
  if (swap.outcome == SwapOutcome::moved) return Done{};
  if (wrong.empty()) return usage("an outcome, but nothing that doesn't work has been entered", "say first what is wrong: halfsplit symptom no picture; or type the swap alone");
  if (swap.outcome != SwapOutcome::changed || wrong.size() == 1) return Done{};
  std::vector<std::string> names;
  for (const Observation& one : wrong) names.push_back(name_of(one, machine));
  return usage("'changed' understood, but what changed? Not right before: " + join(names, ", "), "type the swap alone, then halfsplit symptom and what it does now");
}

/// A part that moved in this swap, for the verdict "the fault went with it".
board::PartId one_moved(const observe::Swap& swap) {
  if (swap.part.known()) return swap.part;
  for (const board::Action& action : swap.now.actions())
    if (action.kind == board::Action::Kind::fit) return action.part;
  return {};
}

Observation verdict(Kind kind, board::PartId part, bool bad, const board::Setup& setup, const std::string& typed, const std::string& when) {
  Observation out;
  out.setup = setup;
  out.point.at = observe::Point::At::part;
  out.point.part = part;
  out.kind = kind;
  out.value.word = bad ? Word::bad : Word::good;
  out.value.note = kind == Kind::swap ? "the fault moved" : bad ? "fails there" : "works there";
  out.typed = typed;
  out.when = when;
  return out;
}

std::vector<board::NetId> rails_of(board::PartId id, const board::Machine& machine) {
  std::vector<board::NetId> out;
  for (std::size_t i = 0; i < machine.part(id).pin_count; ++i) {
    const board::NetId net = machine.pin(machine.pin_of(id, i)).net;
    if (net.known() && machine.net(net).kind == board::NetKind::rail && std::find(out.begin(), out.end(), net) == out.end()) out.push_back(net);
  }
  return out;
}

/// A good part goes into a machine whose rails may be what kills parts.
std::string unproven_rails(board::PartId part, const Sitting& sitting) {
  std::vector<std::string> names;
  for (const board::NetId net : rails_of(part, sitting.machine()))
    if (!rail_proven(net, sitting.history(), sitting.machine())) names.push_back(sitting.machine().net(net).name);
  if (names.empty()) return {};
  return fmt::format("{} at {} {} not been measured: what killed the old part may kill the good one. Measure first.", join(names, " and "), sitting.machine().part(part).ref, names.size() == 1 ? "has" : "have");
}

bool fails_here(const Sitting& sitting) { return !complaints(sitting).empty(); }

}  // namespace

Result<std::vector<observe::Event>> swap_events(const observe::Swap& swap, const Sitting& sitting, const std::string& typed, const std::string& when) {
  std::vector<observe::Event> out;
  if (swap.way == Way::elsewhere) {
    out.emplace_back(verdict(Kind::elsewhere, swap.part, !swap.works, board::all_own(swap.now), typed, when));
    return out;
  }
  if (!(swap.now == sitting.state())) out.emplace_back(observe::StateChange{swap.now, when, typed});
  if (swap.outcome == SwapOutcome::untold) return out;
  const std::vector<Observation> wrong = complaints(sitting);
  if (const Status may = may_tell(swap, wrong, sitting.machine()); !may) return may.error();
  if (swap.outcome == SwapOutcome::moved) {
    if (const board::PartId part = one_moved(swap); part.known()) out.emplace_back(verdict(Kind::swap, part, true, swap.now, typed, when));
    return out;
  }
  for (const Observation& one : wrong) out.emplace_back(again(one, swap.outcome, swap.now, typed, when));
  return out;
}

std::vector<std::string> swap_lines(const observe::Swap& swap, const Sitting& sitting) {
  std::vector<std::string> out;
  const board::Machine& machine = sitting.machine();
  if (swap.way == Way::elsewhere) {
    if (swap.works && fails_here(sitting))
      out.push_back(fmt::format("{} works there and the machine fails here: no contradiction. A marginal part, a contact that moving it made good, or a margin of this machine: its supply, levels or timing.", machine.part(swap.part).ref));
    return out;
  }
  if (swap.way == Way::none) return out;
  out.push_back("Only with the power off, by the ends and with a puller; pin 1 where it was.");
  std::vector<std::string> handled;
  for (const board::PartId part : {swap.part, swap.with})
    if (part.known())
      for (const std::string& line : handling(part, machine))
        if (std::find(handled.begin(), handled.end(), line) == handled.end()) handled.push_back(line);
  out.insert(out.end(), handled.begin(), handled.end());
  if (swap.way == Way::spare)
    if (const std::string rails = unproven_rails(swap.part, sitting); !rails.empty()) out.push_back(rails);
  if (swap.outcome == SwapOutcome::untold && swap.way != Way::back) out.push_back("What does it do now? halfsplit swap unchanged (or cured, moved), or halfsplit symptom and your words.");
  if (swap.outcome == SwapOutcome::cured) out.push_back("Moving a chip also makes bad contacts good: put the old part back once and see the fault again before you call it bad.");
  return out;
}

std::string swap_words(const board::Setup& from, const board::Setup& to, const board::Machine& machine) {
  std::vector<std::string> out;
  board::Setup now = from;
  for (const board::Action& action : to.actions()) {
    if (action.kind != board::Action::Kind::fit || board::in_place(action.part, now) == board::Thing{action.from, action.spare}) continue;
    if (action.spare > 0) {
      now = now.with(action);
      out.push_back("halfsplit swap " + machine.part(action.part).ref + " spare" + (action.what.empty() ? "" : " " + action.what));
    } else if (const auto where = board::place_of({action.from, 0}, now)) {
      now = board::exchanged(now, action.part, *where);
      out.push_back("halfsplit swap " + machine.part(action.part).ref + " " + machine.part(*where).ref);
    }
  }
  for (const board::Action& action : from.actions()) {
    if (action.kind != board::Action::Kind::fit || board::in_place(action.part, now) == board::in_place(action.part, to)) continue;
    now = board::back_home(now, action.part);
    out.push_back("halfsplit swap " + machine.part(action.part).ref + " back");
  }
  return join(out, "; ");
}

board::Setup settled(const board::Setup& setup, board::PartId place) {
  board::Setup out = setup;
  for (board::PartId at = place; !(board::in_place(at, out) == board::Thing{at, 0});) {
    const board::Thing here = board::in_place(at, out);
    for (const board::Action& action : out.actions())
      if (action.kind == board::Action::Kind::fit && action.part == at) {
        out = out.without(board::Action(action));
        break;
      }
    at = here.home;
  }
  return out;
}

}  // namespace halfsplit::app
