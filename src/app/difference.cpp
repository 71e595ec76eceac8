#include "app/difference.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "app/level_margins.h"
#include "app/outcome_words.h"
#include "base/text.h"
#include "board/amendment.h"
#include "board/lint.h"
#include "logic/health.h"
#include "observe/parse.h"

namespace halfsplit::app {
namespace {

using board::Machine;
using board::PartId;
using board::PinId;
using observe::Kind;
using observe::Point;

constexpr double kVoltsApart = 0.3;  ///< less is within what one chip differs from the next
constexpr std::array kKinds = {Kind::probe, Kind::volts_dc, Kind::frequency, Kind::duration};

struct Asked {
  std::string point, title;
  Kind kind = Kind::probe;
  fault::Query before, after;
};

Point leg(PinId pin) { return {.at = Point::At::leg, .pin = pin}; }

class Comparison {
 public:
  Comparison(Model& before, Model& after, const board::Setup& setup)
      : before_(before), after_(after), a_(before.machine()), b_(after.machine()), setup_a_(setup), setup_b_(carried(setup, a_, b_)) {}

  void add_everything() {
    for (std::size_t i = 0; i < a_.functions().size(); ++i) add_function(board::FunctionId(i));
    for (std::size_t i = 0; i < a_.parts().size(); ++i)
      if (a_.parts()[i].fitted && !a_.parts()[i].surroundings) add_part(PartId(i));
  }
  void add(const Point& point) {
    switch (point.at) {
      case Point::At::function: return add_function(point.function);
      case Point::At::part: return add_part(point.part);
      case Point::At::leg: return add_pin(point.pin);
      case Point::At::net:
        for (const PinId pin : a_.net(point.net).pins) add_pin(pin);
        return;
      case Point::At::pair:
      case Point::At::machine: return;
    }
  }

  std::vector<report::DifferenceRow> rows() {
    std::vector<fault::Query> ask_a, ask_b;
    for (const Asked& one : asked_) {
      ask_a.push_back(one.before);
      ask_b.push_back(one.after);
    }
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());
    const auto was = before_.predictor().outcomes({fault::Hypothesis()}, ask_a, budget);
    const auto is = after_.predictor().outcomes({fault::Hypothesis()}, ask_b, budget);
    std::vector<report::DifferenceRow> out = lost_;
    std::set<std::pair<std::string, std::string>> level_told;  // a point, once a level is told of it
    for (std::size_t i = 0; i < asked_.size(); ++i) {
      const fault::Outcome &x = was.at(0, i), &y = is.at(0, i);
      if (asked_[i].kind == Kind::volts_dc && level_told.count({asked_[i].point, "probe"})) continue;
      if (!differ(x, y)) continue;
      level_told.insert({asked_[i].point, observe::name_of(asked_[i].kind)});
      out.push_back({asked_[i].point, asked_[i].title, observe::name_of(asked_[i].kind), expectation(x), expectation(y)});
    }
    return out;
  }

 private:
  static bool differ(const fault::Outcome& x, const fault::Outcome& y) {
    if (x.form != y.form) return true;
    if (x.form == fault::Outcome::Form::words) return words_of(x) != words_of(y);
    if (x.form == fault::Outcome::Form::none) return false;
    const auto a = range_of(x), b = range_of(y);
    if (!a || !b) return a.has_value() != b.has_value();
    const double least = a->unit == observe::Unit::volts ? kVoltsApart : 1e-6 * std::max(std::abs(a->from), std::abs(a->to));
    return std::abs(a->from - b->from) > least || std::abs(a->to - b->to) > least;
  }

  void ask(std::string point, std::string title, Kind kind, const Point& here, const Point& there) {
    Asked one{std::move(point), std::move(title), kind, {}, {}};
    one.before.setup = setup_a_;
    one.before.point = here;
    one.after.setup = setup_b_;
    one.after.point = there;
    one.before.kind = one.after.kind = kind;
    asked_.push_back(std::move(one));
  }
  void add_function(board::FunctionId id) {
    const board::Function& function = a_.function(id);
    const auto there = b_.find_function(function.id);
    if (!there) return;
    // What a function is judged at may be the very part that is gone.
    if (const std::string gone = lacking(b_.function(*there)); !gone.empty()) {
      lost_.push_back({function.id, function.title, observe::name_of(Kind::function), "works", "can't work without " + gone});
      return;
    }
    ask(function.id, function.title, Kind::function, {.at = Point::At::function, .function = id}, {.at = Point::At::function, .function = *there});
  }
  void add_part(PartId id) {
    for (std::size_t i = 0; i < a_.part(id).pin_count; ++i) add_pin(a_.pin_of(id, i));
  }
  std::string lacking(const board::Function& function) const {
    for (const board::Need& need : function.needs) {
      const PartId part = need.pin.known() ? b_.pin(need.pin).part : need.part;
      if (!part.known() || b_.part(part).fitted) continue;
      const auto before = a_.find_part(b_.part(part).ref);
      if (before && a_.part(*before).fitted) return b_.part(part).ref;
    }
    return {};
  }
  /// Where a part is taken out its pads are compared: the net as a whole.
  void add_pad(PinId id, PinId there) {
    const board::NetId here = a_.pin(id).net, net = b_.pin(there).net;
    if (!here.known() || !net.known()) return;
    for (const Kind kind : kKinds) ask(a_.net(here).name, "pad of " + a_.long_name_of(id), kind, {.at = Point::At::net, .net = here}, {.at = Point::At::net, .net = net});
  }
  void add_pin(PinId id) {
    const auto there = b_.find_pin(a_.name_of(id));
    if (!there || !seen_.insert(id.index()).second) return;
    if (!b_.part(b_.pin(*there).part).fitted) return add_pad(id, *there);
    for (const Kind kind : kKinds) ask(a_.name_of(id), a_.long_name_of(id), kind, leg(id), leg(*there));
  }

  Model &before_, &after_;
  const Machine &a_, &b_;
  const board::Setup setup_a_, setup_b_;
  std::vector<Asked> asked_;
  std::vector<report::DifferenceRow> lost_;  ///< functions of which a part is gone
  std::set<std::size_t> seen_;
};

/// What is doubtful on the second and not on the first.
std::vector<std::string> new_findings(Model& before, Model& after) {
  std::multiset<std::string> old;
  for (const auto& finding : board::lint(before.machine())) old.insert(finding.message);
  for (const auto& finding : logic::health(*before.activity())) old.insert(finding.message);
  std::vector<board::Finding> now = board::lint(after.machine());
  for (auto& finding : logic::health(*after.activity())) now.push_back(std::move(finding));
  std::vector<std::string> out;
  for (const board::Finding& finding : now) {
    const auto known = old.find(finding.message);
    if (known != old.end()) old.erase(known);
    else if (finding.grade != board::Finding::Grade::note) out.push_back(finding.message);
  }
  const auto margins = level_margins(before.machine());
  for (const std::string& one : level_margins(after.machine()))
    if (std::find(margins.begin(), margins.end(), one) == margins.end()) out.push_back(one);
  return out;
}

bool has_block(const board::Part& part, std::initializer_list<parts::Template> kinds) {
  return std::any_of(part.type->blocks.begin(), part.type->blocks.end(), [&](const parts::Block& block) { return std::find(kinds.begin(), kinds.end(), block.kind) != kinds.end(); });
}

/// From a supply rail to ground or another rail: it takes up current peaks and no level shows it.
bool decouples(const Machine& machine, PartId id) {
  if (!has_block(machine.part(id), {parts::Template::capacitor})) return false;
  for (std::size_t i = 0; i < machine.part(id).pin_count; ++i) {
    const board::NetId net = machine.pin(machine.pin_of(id, i)).net;
    if (!net.known() || machine.net(net).kind == board::NetKind::signal) return false;
  }
  return true;
}

std::vector<std::string> remarks_of(const Machine& before, const Machine& after) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < before.parts().size(); ++i) {
    const board::Part& was = before.parts()[i];
    const auto there = after.find_part(was.ref);
    if (!there) continue;
    const board::Part& is = after.part(*there);
    if (was.fitted && !is.fitted && decouples(before, PartId(i)))
      out.push_back(fmt::format("{} lies between {} and {}: it takes up peaks of current. Without it errors may come that are rare and move about; leave out one, not several in a row.", was.ref,
                                before.net(before.pin(before.pin_of(PartId(i), 0)).net).name, before.net(before.pin(before.pin_of(PartId(i), 1)).net).name));
    const bool clock = has_block(is, {parts::Template::crystal, parts::Template::oscillator});
    if (!clock && was.value_si && is.value_si && *was.value_si != *is.value_si) out.push_back(fmt::format("{} is {} instead of {}: what that does to levels and times is not computed.", was.ref, is.value, was.value));
  }
  return out;
}

/// A crystal or oscillator of another frequency takes everything with it.
std::vector<report::DifferenceRow> clocks_changed(const Machine& before, const Machine& after) {
  std::vector<report::DifferenceRow> out;
  for (const board::Part& was : before.parts()) {
    const auto there = after.find_part(was.ref);
    if (!there || !was.value_si || !after.part(*there).value_si || !has_block(after.part(*there), {parts::Template::crystal, parts::Template::oscillator})) continue;
    const board::Part& is = after.part(*there);
    const double share = *is.value_si / *was.value_si - 1;
    if (share == 0) continue;
    out.push_back({was.ref, fmt::format("all that {} clocks, picture and sound too", was.ref), observe::name_of(Kind::frequency), was.value,
                   fmt::format("{}, {} % {}", is.value, halfsplit::shown(std::abs(share) * 100, 3), share > 0 ? "faster" : "slower")});
  }
  return out;
}

}  // namespace

board::Setup carried(const board::Setup& setup, const Machine& from, const Machine& to) {
  std::vector<board::Action> out;
  for (board::Action action : setup.actions()) {
    const auto part = action.part.known() ? to.find_part(from.part(action.part).ref) : Result<PartId>(PartId());
    const auto pin = action.pin.known() ? to.find_pin(from.name_of(action.pin)) : Result<PinId>(PinId());
    const auto other = action.other.known() ? to.find_pin(from.name_of(action.other)) : Result<PinId>(PinId());
    if (!part || !pin || !other) continue;
    action.part = *part;
    action.pin = *pin;
    action.other = *other;
    out.push_back(std::move(action));
  }
  return board::Setup(std::move(out));
}

Result<report::Difference> difference(Model& before, Model& after, const std::vector<std::string>& points, const board::Setup& setup) {
  Comparison comparison(before, after, setup);
  if (points.empty()) comparison.add_everything();
  for (const std::string& word : points) {
    const auto point = observe::parse_point(word, before.machine());
    if (!point) return point.error();
    comparison.add(*point);
  }
  report::Difference out;
  out.machine = before.machine().title();
  out.rows = comparison.rows();
  for (report::DifferenceRow& row : clocks_changed(before.machine(), after.machine())) out.rows.push_back(std::move(row));
  out.findings = new_findings(before, after);
  out.remarks = remarks_of(before.machine(), after.machine());
  if (!setup.actions().empty()) out.slip.bench = board::describe(setup, before.machine());
  return out;
}

Result<report::Difference> expect_with(const Places& places, const std::string& folder, const std::vector<std::string>& standing, const std::vector<std::string>& changes,
                                       const std::vector<std::string>& points, const board::Setup& setup) {
  std::vector<std::string> all = standing, titles;
  for (const std::string& change : changes) {
    const auto amendment = board::parse_amendment(change);
    if (!amendment) return amendment.error();
    titles.push_back(board::describe(*amendment));
    all.push_back(change);
  }
  auto before = Model::open(places, folder, standing);
  if (!before) return before.error();
  auto after = Model::open(places, folder, all);
  if (!after) return after.error();
  auto out = difference(**before, **after, points, setup);
  if (!out) return out.error();
  out->changes = std::move(titles);
  return out;
}

}  // namespace halfsplit::app
