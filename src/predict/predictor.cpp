// Long because: every kind of query is answered here, each in a few lines.
#include "predict/predictor.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <span>

#include "parts/stand_in.h"
#include "predict/answers.h"
#include "predict/compare.h"
#include "predict/electrics.h"
#include "predict/keys.h"
#include "predict/levels.h"
#include "predict/offers.h"
#include "predict/reports.h"
#include "predict/travel.h"

namespace halfsplit::predict {
namespace {

using board::PinId;
using fault::Evidence;
using fault::FaultId;
using fault::Hypothesis;
using fault::Outcome;
using fault::Query;
using fault::Site;
using logic::Look;
using observe::Kind;
using observe::Point;

/// How a query is answered: by looks of the activity engine, by circuit equations, from the parts named in the hypothesis, along copper, or not at all.
struct Ask {
  enum class Way : std::uint8_t { none, probe, volts, swing, content, report, function, part, verdict, copper, electric } way = Way::none;
  Look look;
  NetLevels levels;
  board::PartId part;
  std::vector<std::uint32_t> banks;  ///< way report
};
using Answer = std::uint64_t;  ///< set of logic::Seen, or a packed report; 0 = not asked or budget spent; way electric: number of an outcome

class ActivityPredictor final : public fault::Predictor {
 public:
  ActivityPredictor(const board::Machine& machine, const fault::Catalogue& catalogue, const fault::EvidenceTable& evidence, std::shared_ptr<const logic::Activity> activity, TableKeeper* keeper)
      : machine_(machine), catalogue_(catalogue), evidence_(evidence), answers_(catalogue, std::move(activity), keeper), electrics_(catalogue, answers_), travel_(machine, catalogue) {
    for (std::uint32_t i = 0; i < machine.nets().size(); ++i) levels_.push_back(levels_of(machine, board::NetId(i)));
    sketch_ = std::any_of(machine.parts().begin(), machine.parts().end(), [](const board::Part& part) { return parts::stands_in(*part.type); });
  }

  const board::Machine& machine() const override { return machine_; }
  const fault::Catalogue& catalogue() const override { return catalogue_; }

  std::vector<double> score(const std::vector<Hypothesis>& hypotheses, const std::vector<Evidence>& evidence, StepBudget& budget) const override {
    const auto each = score_each(hypotheses, evidence, budget);
    std::vector<double> out;
    for (const auto& row : each) {
      double sum = 0;
      for (const double x : row) sum += x;
      out.push_back(sum);
    }
    return out;
  }

  bool same_thing(const Query& a, const Query& b) const override {
    if (a == b) return true;
    const bool of_levels = a.kind == Kind::probe || a.kind == Kind::volts_dc || a.kind == Kind::swing || a.kind == Kind::triggered;
    if (!of_levels || a.kind != b.kind || a.cycle != b.cycle || !(a.setup == b.setup)) return false;
    const auto net_of = [&](const Point& point) {
      if (point.at == Point::At::net) return point.net;
      return point.at == Point::At::leg ? machine_.pin(point.pin).net : board::NetId();
    };
    return net_of(a.point).known() && net_of(a.point) == net_of(b.point);
  }
  std::vector<std::vector<double>> score_each(const std::vector<Hypothesis>& hypotheses, const std::vector<Evidence>& evidence, StepBudget& budget) const override {
    std::vector<std::vector<double>> out(hypotheses.size(), std::vector<double>(evidence.size(), 0));
    std::vector<Case> cases;
    std::vector<std::vector<bool>> own(hypotheses.size());
    for (std::size_t h = 0; h < hypotheses.size(); ++h) {
      cases.push_back({hypotheses[h], {}});
      own[h] = observed_outputs(cases.back(), evidence);
    }
    std::map<board::Setup, std::vector<std::size_t>> by_setup;
    for (std::size_t e = 0; e < evidence.size(); ++e) by_setup[simulated_setup(evidence[e].query)].push_back(e);
    for (const auto& [setup, which] : by_setup) {
      if (board::any_fitted(setup)) score_moved(setup, which, hypotheses, evidence, out, budget);
      else score_setup(setup, which, cases, own, evidence, out, budget);
    }
    return out;
  }

  fault::OutcomeTable outcomes(const std::vector<Hypothesis>& hypotheses, const std::vector<Query>& queries, StepBudget& budget) const override {
    fault::OutcomeTable table;
    table.rows = hypotheses.size();
    table.columns = queries.size();
    table.cells.resize(table.rows * table.columns);
    std::map<board::Setup, std::vector<std::size_t>> by_setup;
    for (std::size_t q = 0; q < queries.size(); ++q) by_setup[simulated_setup(queries[q])].push_back(q);
    for (const auto& [setup, which] : by_setup) {
      std::vector<Case> cases;
      for (const auto& h : hypotheses) cases.push_back({travel_.acting(h, setup), {}});
      std::vector<Ask> asks;
      const auto seen = ask_all(setup, which, cases, [&](std::size_t i) -> const Query& { return queries[i]; }, asks, budget);
      for (std::size_t h = 0; h < hypotheses.size(); ++h)
        for (std::size_t k = 0; k < which.size(); ++k)
          table.cells[h * table.columns + which[k]] = outcome(asks[k], queries[which[k]], cases[h].hypothesis, seen[h * which.size() + k]);
      if (board::any_fitted(setup)) soften_remade(setup, which, hypotheses, queries, table, budget);
    }
    return table;
  }

  std::vector<FaultId> reach(const Query& query) const override {
    if (query.beside) return reach_of_both(query);
    const Ask ask = ask_for(query);
    std::vector<FaultId> out;
    std::vector<bool> ops;
    if (ask.way == Ask::Way::report) ops = upstream_of(report_looks(ask.banks, answers_.activity()));
    else if (ask.way == Ask::Way::electric) ops = upstream_of(feeding_looks());
    else if (is_activity(ask)) ops = is_key(ask) ? upstream_of_key(query.point.function) : answers_.activity().upstream(ask.look);
    for (std::uint32_t i = 0; i < catalogue_.size(); ++i) {
      const auto acts = travel_.acting(FaultId(i), query.setup);
      if (!acts) continue;
      const auto& f = catalogue_.fault(*acts);
      bool can = f.site.kind == Site::Kind::outside;
      if (is_activity(ask)) can = can || answers_.activity().touches(f, ops) || acts_by_setup(f, query);
      if (is_key(ask)) can = can || f.site.part == *machine_.function(query.point.function).held || needs_surroundings(machine_.function(query.point.function), Hypothesis(*acts));
      if (ask.way == Ask::Way::part) can = can || f.site.part == ask.part || (f.site.pin.known() && machine_.pin(f.site.pin).part == ask.part);
      if (ask.way == Ask::Way::verdict) can = can || judged(f, query);
      if (ask.way == Ask::Way::copper) can = can || parts_copper(f, query.point);
      if (ask.way == Ask::Way::electric) can = can || electrics_.touches(f) || (query.setup.powered() && (answers_.activity().touches(f, ops) || acts_by_setup(f, query)));
      if (can) out.push_back(FaultId(i));
    }
    return out;
  }

  std::vector<std::uint32_t> alike(const std::vector<Hypothesis>& hypotheses, const std::vector<Query>& queries) const override {
    std::vector<std::uint32_t> out(queries.size());
    std::vector<Case> cases;
    for (const auto& h : hypotheses) cases.push_back({h, {}});
    std::map<board::Setup, std::vector<std::size_t>> by_setup;
    for (std::size_t q = 0; q < queries.size(); ++q) by_setup[simulated_setup(queries[q])].push_back(q);
    std::uint32_t next = 0;
    for (const auto& [setup, which] : by_setup) {
      std::vector<Ask> asks;
      StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
      const auto seen = ask_all(setup, which, cases, [&](std::size_t i) -> const Query& { return queries[i]; }, asks, unlimited);
      std::map<std::pair<Kind, std::string>, std::uint32_t> known;
      for (std::size_t k = 0; k < which.size(); ++k) {
        const bool by_set = asks[k].way == Ask::Way::probe || asks[k].way == Ask::Way::content || asks[k].way == Ask::Way::function;
        std::string column;
        for (std::size_t h = 0; by_set && h < cases.size(); ++h) column += static_cast<char>(seen[h * which.size() + k]);
        const auto [place, fresh] = by_set ? known.try_emplace({queries[which[k]].kind, std::move(column)}, next) : std::pair(known.end(), true);
        out[which[k]] = by_set ? place->second : next;
        if (fresh) ++next;
      }
    }
    return out;
  }

  std::vector<std::vector<Query>> walks(const board::Setup& setup, const std::vector<Kind>& kinds, board::PartId part) const override {
    return predict::walks(setup, kinds, part, answers_.activity());
  }
  std::vector<Query> queries(const board::Setup& setup, const std::vector<Kind>& kinds) const override {
    std::vector<Query> out = offers(setup, kinds, answers_.activity());
    for (const Kind kind : kinds)
      if (!sketch_)  // connections that are not traced yet are no circuit
        for (Query& query : electrics_.offers(setup, kind)) out.push_back(std::move(query));
    return out;
  }

 private:
  static bool is_activity(const Ask& ask) {
    return ask.way == Ask::Way::probe || ask.way == Ask::Way::volts || ask.way == Ask::Way::swing || ask.way == Ask::Way::content || ask.way == Ask::Way::function ||
           ask.way == Ask::Way::report;
  }
  /// Everything that can act on the needs, on both ends of the key, and on the machine's running.
  std::vector<bool> upstream_of_key(board::FunctionId id) const {
    const KeyLooks looks = key_looks(machine_, id);
    std::vector<Look> all = looks.needs;
    if (looks.runs) all.push_back(*looks.runs);
    const board::PartId key = *machine_.function(id).held;
    for (std::size_t i = 0; i < machine_.part(key).pin_count; ++i) all.push_back({Look::Kind::leg, machine_.pin_of(key, i).index(), 0});
    return upstream_of(all);
  }
  std::vector<Look> feeding_looks() const {
    std::vector<Look> out;
    for (const board::NetId net : electrics_.feeding()) out.push_back({Look::Kind::net, net.index(), 0});
    return out;
  }
  std::vector<bool> upstream_of(const std::vector<Look>& all) const {
    std::vector<bool> out;
    for (const Look& look : all) {
      const auto ops = answers_.activity().upstream(look);
      out.resize(ops.size(), false);
      for (std::size_t i = 0; i < ops.size(); ++i) out[i] = out[i] || ops[i];
    }
    return out;
  }
  bool acts_by_setup(const fault::Fault&, const Query& query) const { return !activity_setup(query.setup).actions().empty(); }

  /// A key function is tried with its key held.
  board::Setup simulated_setup(const Query& query) const {
    if (query.point.at != Point::At::function) return query.setup;
    const auto& f = machine_.function(query.point.function);
    if (!f.held) return query.setup;
    board::Action hold;
    hold.kind = board::Action::Kind::hold;
    hold.part = *f.held;
    return query.setup.with(hold);
  }

  Ask ask_for(const Query& query) const {
    Ask ask;
    if (!sketch_ && electrics_.answers(query)) {
      ask.way = Ask::Way::electric;
      return ask;
    }
    const bool powered = query.setup.powered();
    const Point& p = query.point;
    board::NetId net = p.net;
    if (p.at == Point::At::leg) net = machine_.pin(p.pin).net;
    const bool on_pad = p.at == Point::At::net || (p.at == Point::At::leg && (p.side == observe::Side::pad || p.side == observe::Side::board));
    switch (query.kind) {
      case Kind::probe:
      case Kind::volts_dc:
      case Kind::swing:
        if (!powered || (p.at != Point::At::leg && p.at != Point::At::net)) return ask;
        ask.way = query.kind == Kind::probe ? Ask::Way::probe : query.kind == Kind::swing ? Ask::Way::swing : Ask::Way::volts;
        if (on_pad && net.known()) ask.look = {Look::Kind::net, net.index(), 0};
        else if (p.at == Point::At::leg) ask.look = {Look::Kind::leg, p.pin.index(), 0};
        else ask.way = Ask::Way::none;
        if (net.known()) ask.levels = levels_[net.index()];
        return ask;
      case Kind::memory:
        if (powered) return ask_for_report(p);
        return ask;
      case Kind::triggered:
      case Kind::content:
        if (powered && query.kind == Kind::content && (p.at == Point::At::part || p.at == Point::At::machine)) return ask_for_report(p);
        if (!powered || p.at != Point::At::leg) return ask;
        ask.way = query.kind == Kind::triggered ? Ask::Way::probe : Ask::Way::content;
        ask.look = {query.kind == Kind::triggered ? Look::Kind::cycle : Look::Kind::content, p.pin.index(), 0};
        if (const auto cycle = cycle_named(query.cycle)) ask.look.slot = *cycle;
        else if (query.kind == Kind::content) ask.look.kind = Look::Kind::stored;
        else ask.look.kind = Look::Kind::leg;
        return ask;
      case Kind::function:
        if (!powered || p.at != Point::At::function) return ask;
        ask.way = Ask::Way::function;
        ask.look = {Look::Kind::function, p.function.index(), 0};
        return ask;
      case Kind::touch:
      case Kind::look:
      case Kind::smell:
      case Kind::part_test:
      case Kind::piggyback:
      case Kind::dump:
        if (p.at != Point::At::part && p.at != Point::At::leg) return ask;
        ask.way = Ask::Way::part;
        ask.part = p.at == Point::At::part ? p.part : machine_.pin(p.pin).part;
        return ask;
      case Kind::swap:
      case Kind::elsewhere:
        if (p.at == Point::At::part) ask.way = Ask::Way::verdict;
        return ask;
      case Kind::continuity:
        if (p.at == Point::At::pair && p.pin.known() && p.other.known()) ask.way = Ask::Way::copper;
        return ask;
      default: return ask;
    }
  }
  Ask ask_for_report(const Point& point) const {
    Ask ask;
    ask.banks = banks_at(point, answers_.activity());
    if (report_width(ask.banks, answers_.activity()) > 0) ask.way = Ask::Way::report;
    return ask;
  }
  std::optional<std::uint32_t> cycle_named(const std::string& name) const {
    const auto& cycles = answers_.activity().network().cycles;
    for (std::uint32_t i = 0; i < cycles.size(); ++i)
      if (cycles[i].name == name) return i;
    return std::nullopt;
  }

  template <class GetQuery>
  std::vector<Answer> ask_all(const board::Setup& setup, const std::vector<std::size_t>& which, const std::vector<Case>& cases, GetQuery query, std::vector<Ask>& asks, StepBudget& budget) const {
    std::vector<Look> looks;
    std::vector<std::size_t> column(which.size(), 0), count(which.size(), 1);
    bool any_key = false;
    for (std::size_t k = 0; k < which.size(); ++k) {
      asks.push_back(ask_for(query(which[k])));
      if (!is_activity(asks.back())) continue;
      column[k] = looks.size();
      std::vector<Look> own{asks.back().look};
      if (is_key(asks.back())) own = key_looks(machine_, query(which[k]).point.function).needs;
      if (asks.back().way == Ask::Way::report) own = report_looks(asks.back().banks, answers_.activity());
      any_key = any_key || is_key(asks.back());
      count[k] = own.size();
      looks.insert(looks.end(), own.begin(), own.end());
    }
    std::vector<Answer> out(cases.size() * which.size(), 0);
    ask_electrics(which, cases, query, asks, out);
    if (looks.empty() && !any_key) return out;
    const auto seen = answers_.ask(activity_setup(setup), cases, looks, budget);
    std::vector<std::uint8_t> healthy;  // what a whole, good machine shows with the key held
    if (any_key) {
      StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
      healthy = answers_.ask(keys_only(setup), {Case{}}, looks, unlimited);
    }
    for (std::size_t k = 0; k < which.size(); ++k) {
      const auto at = [&](std::size_t c) { return std::span<const std::uint8_t>(seen.data() + c * looks.size() + column[k], count[k]); };
      if (is_key(asks[k])) {
        judge(query(which[k]), cases, healthy.data() + column[k], at, [&](std::size_t c, std::uint8_t answer) { out[c * which.size() + k] = answer; });
      } else if (is_activity(asks[k])) {
        for (std::size_t c = 0; c < cases.size(); ++c)
          out[c * which.size() + k] = asks[k].way == Ask::Way::report ? pack_report(asks[k].banks, answers_.activity(), at(c)) : at(c).front();
      }
    }
    return out;
  }
  template <class GetQuery>
  void ask_electrics(const std::vector<std::size_t>& which, const std::vector<Case>& cases, GetQuery query, const std::vector<Ask>& asks, std::vector<Answer>& out) const {
    std::vector<Query> queries;
    std::vector<std::size_t> column;
    for (std::size_t k = 0; k < which.size(); ++k)
      if (asks[k].way == Ask::Way::electric) queries.push_back(query(which[k])), column.push_back(k);
    const auto numbers = electrics_.ask(cases, queries);
    for (std::size_t c = 0; c < cases.size(); ++c)
      for (std::size_t q = 0; q < queries.size(); ++q) out[c * which.size() + column[q]] = numbers[c * queries.size() + q];
  }
  bool is_key(const Ask& ask) const { return ask.way == Ask::Way::function && machine_.functions()[ask.look.id].held.has_value(); }

  /// Whether the key works, per case. `healthy`, `at(c)`: what its needs show on a healthy machine and in each case.
  template <class At, class Tell>
  void judge(const Query& query, const std::vector<Case>& cases, const std::uint8_t* healthy, At at, Tell tell) const {
    const auto& function = machine_.function(query.point.function);
    const KeyLooks looks = key_looks(machine_, query.point.function);
    const std::size_t n = looks.needs.size();
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());  // singles are in the table; the case itself has been counted
    const auto runs = looks.runs ? answers_.ask(activity_setup(query.setup), cases, {*looks.runs}, budget) : std::vector<std::uint8_t>(cases.size(), logic::kRight);
    for (std::size_t c = 0; c < cases.size(); ++c) {
      const std::span<const std::uint8_t> here = at(c);
      const bool spent = std::any_of(here.begin(), here.end(), [](std::uint8_t set) { return set == 0; });
      if (spent) continue;
      tell(c, needs_surroundings(function, cases[c].hypothesis) ? static_cast<std::uint8_t>(logic::kDead | logic::kWrong) : judge_key(here, {healthy, n}, runs[c]));
    }
  }
  /// A fault of the surroundings that the function leans on.
  bool needs_surroundings(const board::Function& function, const Hypothesis& hypothesis) const {
    for (const auto& need : function.needs)
      for (const auto id : hypothesis) {
        const auto& f = catalogue_.fault(id);
        if (need.part.known() && f.site.kind == Site::Kind::part && f.site.part == need.part && f.effect != parts::Effect::none) return true;
      }
    return false;
  }
  /// The whole machine, with the keys held that are held.
  static board::Setup keys_only(const board::Setup& setup) {
    std::vector<board::Action> kept;
    for (const auto& a : setup.actions())
      if (a.kind == board::Action::Kind::hold) kept.push_back(a);
    return board::Setup(kept);
  }
  /// Covers and lids do nothing to the levels, like parts in each other's places only through their faults.
  static board::Setup activity_setup(const board::Setup& setup) {
    std::vector<board::Action> kept;
    for (const auto& a : setup.actions())
      if (a.kind != board::Action::Kind::open && a.kind != board::Action::Kind::fit) kept.push_back(a);
    return board::Setup(kept);
  }

  Outcome outcome(const Ask& ask, const Query& query, const Hypothesis& hypothesis, Answer answer) const {
    const auto seen = static_cast<std::uint8_t>(answer);
    switch (ask.way) {
      case Ask::Way::none: return {};
      case Ask::Way::electric: return electrics_.outcome(static_cast<std::uint32_t>(answer));
      case Ask::Way::report: return report_outcome(answer, report_width(ask.banks, answers_.activity()), shown_chance(Kind::memory, hypothesis));
      case Ask::Way::probe: return probe_outcome(seen);
      case Ask::Way::volts: return volts_outcome(seen, ask.levels);
      case Ask::Way::swing: return swing_outcome(seen, ask.levels);
      case Ask::Way::content: return content_outcome(seen);
      case Ask::Way::function: return function_outcome(seen);
      case Ask::Way::part: return part_outcome(ask.part, query.kind, hypothesis);
      case Ask::Way::verdict: return verdict_outcome(query, hypothesis);
      case Ask::Way::copper: return copper_outcome(query.point, hypothesis);
    }
    return {};
  }

  /// Chance that a test of this kind shows what is there: of the fault that it misses most.
  double shown_chance(Kind kind, const Hypothesis& hypothesis) const {
    double out = 1;
    for (const auto id : hypothesis) out = std::min(out, evidence_.sensitivity(kind, catalogue_.fault(id).evidence_group).hit);
    return out;
  }

  Outcome part_outcome(board::PartId part, Kind kind, const Hypothesis& hypothesis) const {
    if (kind == Kind::dump)
      if (const Outcome bits = dump_outcome(part, hypothesis, catalogue_, machine_, evidence_); bits.form != Outcome::Form::none) return bits;
    double bad = evidence_.sensitivity(kind, "").false_alarm;
    for (const auto id : hypothesis) {
      const auto& f = catalogue_.fault(id);
      const bool here = f.site.part == part || (f.site.pin.known() && machine_.pin(f.site.pin).part == part);
      if (here) bad = std::max(bad, evidence_.sensitivity(kind, f.evidence_group).hit);
    }
    Outcome out;
    out.form = Outcome::Form::words;
    const auto set = [&](observe::Word word, double p) { out.p[static_cast<std::size_t>(word)] = static_cast<float>(p); };
    if (kind == Kind::touch) {
      set(observe::Word::hot, bad * 0.8);
      set(observe::Word::cold, bad * 0.2);
      set(observe::Word::warm, (1 - bad) * 0.6);
      set(observe::Word::normal, (1 - bad) * 0.4);
    } else {
      set(observe::Word::bad, bad);
      set(observe::Word::good, 1 - bad);
    }
    return out;
  }

  /// A verdict on a part alone, wherever it was tried: of the part in that place, after a swap of either part that has moved.
  bool judged(const fault::Fault& f, const Query& query) const {
    if (f.site.kind != Site::Kind::part && f.site.kind != Site::Kind::contact) return false;
    return f.site.part == query.point.part || (query.kind == Kind::swap && !(board::in_place(f.site.part, query.setup) == board::Thing{f.site.part, 0}));
  }
  Outcome verdict_outcome(const Query& query, const Hypothesis& hypothesis) const {
    double bad = evidence_.sensitivity(query.kind, "").false_alarm;
    for (const auto id : hypothesis)
      if (const auto& f = catalogue_.fault(id); judged(f, query)) bad = std::max(bad, evidence_.sensitivity(query.kind, f.evidence_group).hit);
    Outcome out;
    out.form = Outcome::Form::words;
    out.p[static_cast<std::size_t>(observe::Word::bad)] = static_cast<float>(bad);
    out.p[static_cast<std::size_t>(observe::Word::good)] = static_cast<float>(1 - bad);
    return out;
  }

  bool parts_copper(const fault::Fault& f, const Point& point) const {
    const bool parts_pin = f.site.kind == Site::Kind::joint || f.site.kind == Site::Kind::track || f.site.kind == Site::Kind::drawing;
    return parts_pin && (f.site.pin == point.pin || f.site.pin == point.other);
  }
  Outcome copper_outcome(const Point& point, const Hypothesis& hypothesis) const {
    Outcome out;
    const auto a = machine_.pin(point.pin).net, b = machine_.pin(point.other).net;
    if (!a.known() || !b.known()) return out;
    const auto& cluster = answers_.activity().network().cluster;
    bool joined = cluster[a.index()] == cluster[b.index()];
    const auto signal = [&](board::NetId net) { return machine_.net(net).kind == board::NetKind::signal; };
    if (!joined && sketch_ && (signal(a) || signal(b))) return out;  // not traced yet: either is possible
    for (const auto id : hypothesis) {
      const auto& f = catalogue_.fault(id);
      if (parts_copper(f, point)) joined = false;
      if (a != b && f.effect == parts::Effect::open && f.site.part.known() && joins(f.site.part, a, b)) joined = false;
    }
    out.form = Outcome::Form::words;
    const double beep = joined ? 0.98 : 0.03;
    out.p[static_cast<std::size_t>(observe::Word::beep)] = static_cast<float>(beep);
    out.p[static_cast<std::size_t>(observe::Word::no_beep)] = static_cast<float>(1 - beep);
    return out;
  }
  bool joins(board::PartId part, board::NetId a, board::NetId b) const {
    for (const auto& contact : answers_.activity().network().closed)
      if (contact.part == part.index() && ((contact.net_a == a.index() && contact.net_b == b.index()) || (contact.net_a == b.index() && contact.net_b == a.index()))) return true;
    return false;
  }

  /// Marks which evidence was read at the outputs of the hypothesis' unlisted part, and takes those readings as what it puts out.
  std::vector<bool> observed_outputs(Case& c, const std::vector<Evidence>& evidence) const {
    std::vector<bool> own(evidence.size(), false);
    for (const auto id : c.hypothesis) {
      const auto& f = catalogue_.fault(id);
      if (f.effect != parts::Effect::unlisted || f.site.kind != Site::Kind::part) continue;
      const auto& part = machine_.part(f.site.part);
      const auto& network = answers_.activity().network();
      for (std::size_t e = 0; e < evidence.size(); ++e) {
        const Query& q = evidence[e].query;
        if ((q.kind != Kind::probe && q.kind != Kind::volts_dc) || !q.setup.actions().empty()) continue;
        const board::NetId net = q.point.at == Point::At::net ? q.point.net : q.point.at == Point::At::leg ? machine_.pin(q.point.pin).net : board::NetId{};
        if (!net.known()) continue;
        const auto& strong = network.ops[network.strong_node[net.index()]];
        if (strong.count != 1) continue;
        const std::uint32_t pin = network.contributions[strong.first].pin;
        if (pin == logic::kNone32 || pin < part.first_pin.index() || pin >= part.first_pin.index() + part.pin_count) continue;
        const auto seen = seen_in(evidence[e].value, q.kind, levels_[net.index()]);
        if (!seen) continue;
        own[e] = true;
        const auto same_pin = std::find_if(c.observed_outputs.begin(), c.observed_outputs.end(), [&](const auto& o) { return o.first == pin; });
        if (same_pin == c.observed_outputs.end()) c.observed_outputs.push_back({pin, *seen});
      }
    }
    return own;
  }

  void score_setup(const board::Setup& setup, const std::vector<std::size_t>& which, const std::vector<Case>& cases, const std::vector<std::vector<bool>>& own,
                   const std::vector<Evidence>& evidence, std::vector<std::vector<double>>& out, StepBudget& budget) const {
    std::vector<Ask> asks;
    const auto query = [&](std::size_t i) -> const Query& { return evidence[i].query; };
    const auto seen = ask_all(setup, which, cases, query, asks, budget);
    // What an unlisted part's own outputs could show, before anything was read there.
    std::vector<Case> open_cases;
    std::vector<std::size_t> open_index(cases.size(), 0);
    for (std::size_t c = 0; c < cases.size(); ++c)
      if (!cases[c].observed_outputs.empty()) { open_index[c] = open_cases.size(); open_cases.push_back({cases[c].hypothesis, {}}); }
    std::vector<Ask> again;
    const auto open_seen = open_cases.empty() ? std::vector<Answer>{} : ask_all(setup, which, open_cases, query, again, budget);
    // What a healthy machine shows, where a good one was read or is compared with.
    const bool wants_healthy = std::any_of(which.begin(), which.end(), [&](std::size_t e) { return evidence[e].good || compares(evidence[e]); });
    std::vector<Ask> asked_healthy;
    const auto healthy = wants_healthy ? ask_all(setup, which, {Case{}}, query, asked_healthy, budget) : std::vector<Answer>{};
    const auto at = [&](std::size_t c, std::size_t k) {
      return own[c][which[k]] ? open_seen[open_index[c] * which.size() + k] : seen[c * which.size() + k];
    };
    for (std::size_t k = 0; k < which.size(); ++k) {
      const Evidence& e = evidence[which[k]];
      if (compares(e)) {
        score_comparison(setup, e, which[k], asks[k], cases, [&](std::size_t c) { return at(c, k); }, healthy[k], out, budget);
        continue;
      }
      const auto outcome_of = [&](std::size_t c, Answer mask) {
        const Outcome plain = outcome(asks[k], e.query, cases[c].hypothesis, mask);
        return e.good && mask == healthy[k] ? as_on_good(plain, *e.good) : plain;
      };
      const bool by_set = is_activity(asks[k]) && asks[k].way != Ask::Way::report;
      std::vector<std::size_t> earlier;  // readings of the same copper
      for (std::size_t j = 0; j < k; ++j)
        if ((is_activity(asks[k]) || asks[k].way == Ask::Way::electric) && same_thing(evidence[which[j]].query, e.query)) earlier.push_back(j);
      std::array<double, 256> known;
      known.fill(std::nan(""));
      for (std::size_t c = 0; c < cases.size(); ++c) {
        const Answer mask = at(c, k);
        if (!earlier.empty()) {
          Outcome expected = outcome_of(c, mask);
          for (const std::size_t j : earlier)
            if (at(c, j) == mask) expected = fault::narrowed(expected, evidence[which[j]]);
          out[c][which[k]] = mixed(e, expected);
          continue;
        }
        if (!by_set) {
          out[c][which[k]] = mixed(e, outcome_of(c, mask));
          continue;
        }
        if (std::isnan(known[mask])) known[mask] = mixed(e, outcome_of(c, mask));
        out[c][which[k]] = known[mask];
      }
    }
  }
  /// Readings with parts in other places: each hypothesis with its parts where they sit. A socket contact that was remade by moving the chip is one
  /// thing for all readings of the set-up, so the two possibilities are weighed over them in order.
  void score_moved(const board::Setup& setup, const std::vector<std::size_t>& which, const std::vector<Hypothesis>& hypotheses, const std::vector<Evidence>& evidence,
                   std::vector<std::vector<double>>& out, StepBudget& budget) const {
    std::vector<Case> cases, made;
    std::vector<std::size_t> remade;
    for (std::size_t h = 0; h < hypotheses.size(); ++h) {
      cases.push_back({travel_.acting(hypotheses[h], setup), {}});
      const Hypothesis without = travel_.without_remade(cases.back().hypothesis, setup);
      if (without == cases.back().hypothesis) continue;
      remade.push_back(h);
      made.push_back({without, {}});
    }
    score_setup(setup, which, cases, std::vector<std::vector<bool>>(cases.size(), std::vector<bool>(evidence.size(), false)), evidence, out, budget);
    if (made.empty()) return;
    std::vector<std::vector<double>> good(made.size(), std::vector<double>(evidence.size(), 0));
    score_setup(setup, which, made, std::vector<std::vector<bool>>(made.size(), std::vector<bool>(evidence.size(), false)), evidence, good, budget);
    const double cured = cured_by_moving();
    for (std::size_t i = 0; i < remade.size(); ++i) {
      double bad_share = 1 - cured, good_share = cured;
      for (const std::size_t e : which) {
        double& score = out[remade[i]][e];
        const double bad_now = bad_share * std::exp(score), good_now = good_share * std::exp(good[i][e]), sum = bad_now + good_now;
        score = std::log(sum / (bad_share + good_share));
        bad_share = bad_now / sum;
        good_share = good_now / sum;
      }
    }
  }
  /// Chance that a bad contact is good once the chip has been out and another is in.
  double cured_by_moving() const { return evidence_.sensitivity(Kind::swap, "open-path").hit; }

  /// The same for predictions, where they are words.
  void soften_remade(const board::Setup& setup, const std::vector<std::size_t>& which, const std::vector<Hypothesis>& hypotheses, const std::vector<Query>& queries,
                     fault::OutcomeTable& table, StepBudget& budget) const {
    for (std::size_t h = 0; h < hypotheses.size(); ++h) {
      const Hypothesis acting = travel_.acting(hypotheses[h], setup), without = travel_.without_remade(acting, setup);
      if (without == acting) continue;
      const std::vector<Case> cases{{without, {}}};
      std::vector<Ask> asks;
      const auto seen = ask_all(setup, which, cases, [&](std::size_t i) -> const Query& { return queries[i]; }, asks, budget);
      for (std::size_t k = 0; k < which.size(); ++k) {
        Outcome& bad = table.cells[h * table.columns + which[k]];
        const Outcome good = outcome(asks[k], queries[which[k]], without, seen[k]);
        if (bad.form != Outcome::Form::words || good.form != Outcome::Form::words) continue;
        const auto cured = static_cast<float>(cured_by_moving());
        for (std::size_t word = 0; word < bad.p.size(); ++word) bad.p[word] = (1 - cured) * bad.p[word] + cured * good.p[word];
      }
    }
  }

  static bool compares(const Evidence& e) { return e.value.relative && !e.value.word; }

  /// A comparison: both ends are predicted under each hypothesis; "good" is the same point of a healthy machine, or what one was read to show.
  template <class At>
  void score_comparison(const board::Setup& setup, const Evidence& e, std::size_t column, const Ask& ask, const std::vector<Case>& cases, At here, Answer healthy_here,
                        std::vector<std::vector<double>>& out, StepBudget& budget) const {
    Query other = e.query;
    if (e.query.beside) other.point = *e.query.beside;
    other.beside.reset();
    std::vector<Ask> asks;
    const auto there = e.query.beside ? ask_all(setup, {0}, cases, [&](std::size_t) -> const Query& { return other; }, asks, budget) : std::vector<Answer>(cases.size(), healthy_here);
    const double misread = std::exp(fault::log_misread(e.value, e.query.kind));
    for (std::size_t c = 0; c < cases.size(); ++c) {
      const Outcome a = outcome(ask, e.query, cases[c].hypothesis, here(c));
      Outcome b = e.query.beside ? outcome(asks[0], other, cases[c].hypothesis, there[c]) : outcome(ask, e.query, Hypothesis(), healthy_here);
      if (!e.query.beside && e.good) b = as_on_good(b, *e.good);
      const bool alike = is_activity(ask) && here(c) == there[c] && (!e.query.beside || same_levels(ask, asks[0]));
      const auto p = comparison_probability(e.value.relative->how, a, b, alike);
      out[c][column] = std::log((1 - e.doubt) * p.value_or(misread) + e.doubt * misread);
    }
  }
  static bool same_levels(const Ask& a, const Ask& b) { return a.levels.rail == b.levels.rail && std::abs(a.levels.high_v - b.levels.high_v) < 0.3 && std::abs(a.levels.low_v - b.levels.low_v) < 0.2; }
  std::vector<FaultId> reach_of_both(Query query) const {
    Query other = query;
    other.point = *query.beside;
    query.beside.reset();
    other.beside.reset();
    const auto a = reach(query), b = reach(other);
    std::vector<FaultId> out;
    std::set_union(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(out));
    return out;
  }

  /// log((1-e) p + e m): the reading is right, or a misreading.
  static double mixed(const Evidence& e, const Outcome& outcome) {
    const Kind kind = outcome.form == Outcome::Form::bits && e.query.kind == Kind::content ? Kind::memory : e.query.kind;
    const double right = fault::log_likelihood(e.value, outcome, kind), wrong = fault::log_misread(e.value, kind);
    return std::log((1 - e.doubt) * std::exp(right) + e.doubt * std::exp(wrong));
  }

  const board::Machine& machine_;
  const fault::Catalogue& catalogue_;
  const fault::EvidenceTable& evidence_;
  Answers answers_;
  Electrics electrics_;
  Travel travel_;
  std::vector<NetLevels> levels_;
  bool sketch_ = false;  ///< connections are traced bit by bit
};

}  // namespace

std::unique_ptr<fault::Predictor> make_predictor(const board::Machine& machine, const fault::Catalogue& catalogue, const fault::EvidenceTable& evidence,
                                                 std::shared_ptr<const logic::Activity> activity, TableKeeper* keeper) {
  return std::make_unique<ActivityPredictor>(machine, catalogue, evidence, std::move(activity), keeper);
}

}  // namespace halfsplit::predict
