#include "app/choices.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "app/tools.h"
#include "base/text.h"
#include "observe/parse.h"
#include "plan/influence.h"

namespace halfsplit::app {
namespace {

using board::Action;
using observe::Kind;
using observe::Point;

/// Looks for which no tip touches anything.
bool touches_nothing(Kind kind) { return kind == Kind::function || kind == Kind::count || kind == Kind::memory; }

bool holds_tip(const Point& barred, board::PinId pin, const board::Machine& machine) {
  if (!pin.known()) return false;
  if (barred.pin == pin || barred.other == pin) return true;
  return barred.at == Point::At::part && machine.pin(pin).part == barred.part;
}

/// A point on a net as a whole can be had elsewhere on the net, unless the net itself is out of reach.
bool meets(const Point& barred, const Point& point, const board::Machine& machine) {
  if (barred == point) return true;
  if (holds_tip(barred, point.pin, machine) || holds_tip(barred, point.other, machine)) return true;
  if (barred.at == Point::At::part) return point.part == barred.part;
  if (barred.at != Point::At::net) return false;
  const auto on_net = [&](board::PinId pin) { return pin.known() && machine.pin(pin).net == barred.net; };
  return point.net == barred.net || point.other_net == barred.net || on_net(point.pin) || on_net(point.other);
}

/// Words people use for acts of taking apart.
bool take_act(const std::string& word, OutOfReach& out) {
  struct ActWord { const char* word; Action::Kind kind; };
  static constexpr ActWord kActs[] = {{"pull", Action::Kind::pull},     {"pulling", Action::Kind::pull},   {"lift", Action::Kind::lift},   {"lifting", Action::Kind::lift},
                                      {"unplug", Action::Kind::unplug}, {"unplugging", Action::Kind::unplug}, {"bridge", Action::Kind::bridge}, {"hold", Action::Kind::hold}};
  for (const ActWord& one : kActs) {
    if (word != one.word) continue;
    out.acts.push_back(one.kind);
    return true;
  }
  if (word != "solder" && word != "soldering" && word != "unsolder" && word != "unsoldering" && word != "desolder" && word != "desoldering") return false;
  out.unsoldering = true;
  return true;
}

bool take_kind(const std::string& word, OutOfReach& out) {
  for (std::size_t i = 0; i <= static_cast<std::size_t>(Kind::count); ++i) {
    const Kind kind = static_cast<Kind>(i);
    if (word != lower(observe::name_of(kind))) continue;
    out.kinds.push_back(kind);
    return true;
  }
  const auto of_tool = kinds_of_tool(word);
  out.kinds.insert(out.kinds.end(), of_tool.begin(), of_tool.end());
  return !of_tool.empty();
}

}  // namespace

bool OutOfReach::bars(const fault::Query& query, const board::Setup& now, const board::Machine& machine) const {
  if (std::find(kinds.begin(), kinds.end(), query.kind) != kinds.end()) return true;
  const bool touched = !touches_nothing(query.kind);
  for (const Point& point : points)
    if (query.point == point || (touched && meets(point, query.point, machine))) return true;
  for (const Action& action : query.setup.actions()) {
    if (std::find(now.actions().begin(), now.actions().end(), action) != now.actions().end()) continue;
    if (std::find(acts.begin(), acts.end(), action.kind) != acts.end()) return true;
    const bool soldered = action.kind == Action::Kind::lift || (action.kind == Action::Kind::pull && !machine.part(action.part).socketed);
    if (unsoldering && soldered) return true;
    Point moved;
    moved.at = action.part.known() ? Point::At::part : Point::At::leg;
    moved.part = action.part;
    moved.pin = action.pin;
    const bool has_place = action.part.known() || action.pin.known();
    for (const Point& point : points)
      if (has_place && point.at != Point::At::net && meets(point, moved, machine)) return true;
  }
  return false;
}

bool Choices::wanted(board::FunctionId function) const { return std::find(set_aside.begin(), set_aside.end(), function) == set_aside.end(); }

Choices choices_of(const job::Options& options, const board::Machine& machine) {
  Choices out;
  for (const job::Want& want : options.wants) {
    const auto function = read_function(want.function, machine);
    if (!function) continue;
    out.set_aside.erase(std::remove(out.set_aside.begin(), out.set_aside.end(), *function), out.set_aside.end());
    if (!want.yes) out.set_aside.push_back(*function);
  }
  for (const job::Left& left : options.left)
    if (const auto part = machine.find_part(left.part)) out.left.push_back({*part, left.why, left.when});
  for (const std::string& line : options.cannot) {
    const auto one = read_cannot(line, machine);
    if (!one) continue;
    OutOfReach& all = out.out_of_reach;
    all.points.insert(all.points.end(), one->points.begin(), one->points.end());
    all.kinds.insert(all.kinds.end(), one->kinds.begin(), one->kinds.end());
    all.acts.insert(all.acts.end(), one->acts.begin(), one->acts.end());
    all.unsoldering = all.unsoldering || one->unsoldering;
  }
  return out;
}

Result<board::FunctionId> read_function(std::string_view text, const board::Machine& machine) {
  const auto by_id = machine.find_function(text);
  if (by_id) return *by_id;
  const std::string wanted = lower(trim(text));
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < machine.functions().size(); ++i) {
    const std::string title = lower(machine.functions()[i].title);
    if (title == wanted) return board::FunctionId(i);
    if (wanted.size() > 2 && title.find(wanted) != std::string::npos) found.push_back(i);
  }
  if (found.size() == 1) return board::FunctionId(found.front());
  if (found.empty()) return by_id.error();
  std::vector<std::string> ids;
  for (const std::size_t i : found) ids.push_back(machine.functions()[i].id);
  return usage(fmt::format("{} means several functions", in_quotes(text)), "say one of these: " + join(ids, ", "));
}

Result<OutOfReach> read_cannot(std::string_view text, const board::Machine& machine) {
  const std::string_view thing = trim(text.substr(0, text.find(':')));
  OutOfReach out;
  std::string plain = lower(thing);
  for (const char* head : {"no ", "without ", "can't ", "use "})
    if (starts_with(plain, head)) plain = plain.substr(std::string_view(head).size());
  if (take_act(plain, out) || take_kind(plain, out)) return out;
  const auto point = observe::parse_point(thing, machine);
  if (!point) return point.error();
  out.points.push_back(*point);
  return out;
}

std::vector<fault::SiteId> spared_sites(const Choices& choices, const fault::Predictor& predictor, const fault::Ranking& ranking) {
  const fault::Catalogue& catalogue = predictor.catalogue();
  std::set<fault::SiteId> out;
  for (const LeftDefect& left : choices.left)
    if (const auto site = catalogue.site_of_part(left.part)) out.insert(*site);
  if (choices.set_aside.empty()) return {out.begin(), out.end()};
  std::set<fault::FaultId> distinct;
  for (const fault::Leaf& leaf : ranking.leaves) distinct.insert(leaf.hypothesis.begin(), leaf.hypothesis.end());
  std::vector<board::FunctionId> wanted;
  for (const board::FunctionId function : plan::all_functions(predictor.machine()))
    if (choices.wanted(function)) wanted.push_back(function);
  const auto any = [](const std::vector<bool>& row) { return std::find(row.begin(), row.end(), true) != row.end(); };
  std::vector<fault::FaultId> faults(distinct.begin(), distinct.end()), only;
  std::set<fault::SiteId> needed;
  const auto aside = plan::influence(predictor, faults, choices.set_aside);
  for (std::size_t i = 0; i < faults.size(); ++i)
    if (any(aside[i])) only.push_back(faults[i]);
    else needed.insert(catalogue.site_of(faults[i]));  // what touches nothing at all may still be what is wrong
  // Keys last: each is a set-up of its own, and only what no other function settles is asked about them.
  for (const bool keys : {false, true}) {
    std::vector<board::FunctionId> some;
    for (const board::FunctionId function : wanted)
      if (predictor.machine().function(function).held.has_value() == keys) some.push_back(function);
    only.erase(std::remove_if(only.begin(), only.end(), [&](fault::FaultId fault) { return needed.count(catalogue.site_of(fault)) != 0; }), only.end());
    if (only.empty() || some.empty()) continue;
    const auto rest = plan::influence(predictor, only, some);
    for (std::size_t i = 0; i < only.size(); ++i)
      if (any(rest[i])) needed.insert(catalogue.site_of(only[i]));
  }
  for (const fault::FaultId fault : only)
    if (needed.count(catalogue.site_of(fault)) == 0) out.insert(catalogue.site_of(fault));
  return {out.begin(), out.end()};
}

}  // namespace halfsplit::app
