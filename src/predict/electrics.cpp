#include "predict/electrics.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <limits>

#include "base/random.h"
#include "parts/element.h"
#include "predict/spreads.h"

namespace halfsplit::predict {

using board::NetId;
using board::NetKind;
using circuit::Drive;
using circuit::Reading;
using circuit::Tips;
using fault::Fault;
using fault::Outcome;
using fault::Query;
using logic::Look;
using observe::Kind;
using observe::Point;
using parts::Effect;

namespace {

constexpr std::size_t kMostVariants = 3;
constexpr double kDutySpread = 0.25;                       ///< of the time that a moving output is high

/// What an output does that a probe sees so; of several states the one with this number.
Drive drive_of(std::uint8_t seen, std::size_t variant) {
  std::vector<Drive> states;
  if (seen & logic::kPulsing) states.push_back(Drive::moving);
  if (seen & logic::kLow) states.push_back(Drive::low);
  if (seen & logic::kHigh) states.push_back(Drive::high);
  if (seen & logic::kMiddle) states.push_back(Drive::moving);
  if (seen & logic::kFloating) states.push_back(Drive::off);
  return states.empty() ? Drive::off : states[variant % states.size()];
}
std::size_t states_of(std::uint8_t seen) { return static_cast<std::size_t>(std::popcount(static_cast<unsigned>(seen & 0x1f))); }

/// Moving outputs low in the first phase, high in the second.
circuit::Levels in_phase(circuit::Levels levels, std::size_t phase) {
  for (Drive& each : levels)
    if (each == Drive::moving) each = phase == 0 ? Drive::low : Drive::high;
  return levels;
}

Look net_look(NetId net) { return {Look::Kind::net, net.index(), 0}; }

bool same(const Reading& a, const Reading& b) { return a.over == b.over && std::abs(a.value - b.value) <= 1e-6 * (1 + std::abs(a.value)); }

}  // namespace

/// One way in which the hypothesis may show: its faults in one strength, the open levels in one state.
struct Electrics::Variant {
  double weight = 1;
  std::vector<Fault> faults;
  circuit::Levels levels;
  std::size_t strength = 1;
  bool anything = false;   ///< a part misbehaves somehow: what it can be between open and shorted
};

circuit::Meter& Electrics::meter(std::size_t phase) const {
  if (!meter_[0]) prepare();
  return *meter_[phase];
}
void Electrics::prepare() const {
  const board::Machine& m = machine();
  std::vector<Look> looks;
  std::vector<NetId> nets;
  for (std::size_t i = 0; i < m.nets().size(); ++i) {
    const auto& pins = m.nets()[i].pins;
    if (m.nets()[i].kind == NetKind::signal && std::any_of(pins.begin(), pins.end(), [&](board::PinId pin) { return parts::can_drive(m.pin_type(pin).role); })) {
      nets.emplace_back(i);
      looks.push_back(net_look(NetId(i)));
    }
  }
  levels_.assign(m.nets().size(), Drive::off);
  StepBudget budget(std::numeric_limits<std::uint64_t>::max());
  const auto seen = looks.empty() ? std::vector<std::uint8_t>{} : activity_.ask({}, {Case{}}, looks, budget);
  for (std::size_t k = 0; k < nets.size(); ++k) levels_[nets[k].index()] = drive_of(seen[k], 0);
  for (std::size_t phase = 0; phase < kPhases; ++phase) meter_[phase] = std::make_unique<circuit::Meter>(m, in_phase(levels_, phase));
  // Outputs beside nets that circuit equations answer for, through parts that are no chips.
  std::vector<bool> feeds(m.nets().size(), false);
  for (std::size_t p = 0; p < m.parts().size(); ++p) {
    const board::Part& part = m.parts()[p];
    if (part.family) continue;
    bool own = false;
    for (std::size_t i = 0; i < part.pin_count; ++i) own = own || by_circuit(m.pin(m.pin_of(board::PartId(p), i)).net);
    for (std::size_t i = 0; own && i < part.pin_count; ++i)
      if (const NetId net = m.pin(m.pin_of(board::PartId(p), i)).net; net.known()) feeds[net.index()] = true;
  }
  for (const NetId net : nets)
    if (feeds[net.index()]) feeding_.push_back(net);
}
const std::vector<NetId>& Electrics::feeding() const {
  meter(0);
  return feeding_;
}

/// A signal that no output drives and nothing outside feeds.
bool Electrics::by_circuit(NetId id) const {
  if (!id.known()) return false;
  const board::Net& net = machine().net(id);
  if (net.kind != NetKind::signal || net.fed) return false;
  return std::none_of(net.pins.begin(), net.pins.end(), [&](board::PinId pin) { return parts::can_drive(machine().pin_type(pin).role); });
}

std::optional<Electrics::Wanted> Electrics::wanted(const Query& query) const {
  const Point& p = query.point;
  const circuit::Circuit& c = meter(0).circuit();
  const bool powered = query.kind == Kind::volts_dc || query.kind == Kind::current;
  if (powered != query.setup.powered()) return std::nullopt;
  Wanted out;
  out.kind = query.kind;
  if (query.kind == Kind::current) {
    if (p.at != Point::At::part) return std::nullopt;
    out.supply = p.part;
    const bool feeds = std::any_of(c.supplies.begin(), c.supplies.end(), [&](circuit::DeviceIndex d) { return c.network.devices[d].part == p.part; });
    return feeds ? std::optional(out) : std::nullopt;
  }
  const auto leg = [&](board::PinId pin, bool pad) -> std::optional<circuit::NodeIndex> {
    const NetId net = machine().pin(pin).net;
    return pad && net.known() ? c.net_node[net.index()] : c.pin_node[pin.index()];
  };
  const bool pad = p.side == observe::Side::pad || p.side == observe::Side::board;
  std::optional<circuit::NodeIndex> plus, minus;
  NetId net_plus, net_minus;
  if (p.at == Point::At::leg) plus = leg(p.pin, pad), net_plus = machine().pin(p.pin).net, minus = circuit::kGround;
  if (p.at == Point::At::net) plus = c.net_node[p.net.index()], net_plus = p.net, minus = circuit::kGround;
  if (p.at == Point::At::pair) {
    if (p.pin.known()) plus = leg(p.pin, false), net_plus = machine().pin(p.pin).net;
    else if (p.net.known()) plus = c.net_node[p.net.index()], net_plus = p.net;
    if (p.other.known()) minus = leg(p.other, false), net_minus = machine().pin(p.other).net;
    else if (p.other_net.known()) minus = c.net_node[p.other_net.index()], net_minus = p.other_net;
  }
  if (p.at == Point::At::part && machine().part(p.part).pin_count == 2) {
    const auto elements = parts::elements(*machine().part(p.part).type);
    const std::size_t first = elements.size() == 1 ? elements[0].a : 0, second = elements.size() == 1 ? elements[0].b : 1;
    plus = leg(machine().pin_of(p.part, first), false), minus = leg(machine().pin_of(p.part, second), false);
    net_plus = machine().pin(machine().pin_of(p.part, first)).net, net_minus = machine().pin(machine().pin_of(p.part, second)).net;
  }
  if (!plus || !minus || *plus == *minus || !c.known[*plus] || !c.known[*minus]) return std::nullopt;
  const auto held = [&](NetId net) { return net.known() && machine().net(net).kind != NetKind::signal; };  // the other tip on a rail or ground
  const bool either = by_circuit(net_plus) || by_circuit(net_minus);
  const bool both = (by_circuit(net_plus) || held(net_plus)) && (!net_minus.known() || by_circuit(net_minus) || held(net_minus));
  if (powered && !(either && both)) return std::nullopt;
  if (query.kind == Kind::continuity && net_plus == net_minus) return std::nullopt;
  out.tips = {*plus, *minus};
  return out;
}

bool Electrics::answers(const Query& query) const {
  switch (query.kind) {
    case Kind::volts_dc:
    case Kind::ohms:
    case Kind::diode:
    case Kind::continuity:
    case Kind::current: return wanted(query).has_value();
    default: return false;
  }
}

bool Electrics::touches(const Fault& fault) const { return circuit::acts_on_circuit(fault) || fault.effect == Effect::unlisted || fault.effect == Effect::intermittent; }

std::vector<Electrics::Variant> Electrics::variants(const Case& one, std::span<const std::uint8_t> seen) const {
  Variant plain;
  bool graded = false;
  std::optional<std::size_t> unlisted, intermittent;
  for (const fault::FaultId id : one.hypothesis) {
    const Fault& f = catalogue_.fault(id);
    const bool element = f.site.part.known() && machine().part(f.site.part).family == nullptr;
    if (f.effect == Effect::unlisted && element) unlisted = plain.faults.size();
    if (f.effect == Effect::intermittent && element) intermittent = plain.faults.size();
    graded = graded || circuit::has_strengths(f);
    plain.faults.push_back(f);
  }
  std::size_t states = 1;
  for (const std::uint8_t each : seen) states = std::max(states, std::min(states_of(each), kMostVariants));
  const std::size_t count = unlisted || graded ? kMostVariants : intermittent ? std::max<std::size_t>(2, states) : states;
  std::vector<Variant> out(count, plain);
  for (std::size_t v = 0; v < count; ++v) {
    out[v].weight = 1.0 / static_cast<double>(count);
    out[v].strength = graded ? v : 1;
    if (intermittent && v % 2 == 1) out[v].faults[*intermittent].effect = Effect::open;
    if (unlisted) {
      out[v].faults[*unlisted].effect = v == 0 ? Effect::open : Effect::shorted;
      out[v].anything = v == 2;
    }
    out[v].levels = levels_;
    for (std::size_t k = 0; k < feeding_.size(); ++k)
      if (seen[k] != 0) out[v].levels[feeding_[k].index()] = drive_of(seen[k], v);
  }
  return out;
}

Reading Electrics::level_volts(std::size_t phase, const circuit::Levels& levels, const board::Setup& setup, Tips tips) const {
  std::vector<Drive> key;
  for (const NetId net : feeding_) key.push_back(levels[net.index()]);
  const auto [at, fresh] = by_levels_.try_emplace({phase, setup, std::move(key), tips});
  if (fresh) at->second = meter(phase).volts({&setup, {}, &levels}, 1, {tips}).front();
  return at->second;
}
std::vector<Reading> Electrics::phase_volts(std::size_t phase, const Variant& way, const board::Setup& setup, const std::vector<Tips>& tips) const {
  const circuit::Levels levels = in_phase(way.levels, phase);
  circuit::Condition faults;
  for (const Fault& f : way.faults) faults.faults.push_back(&f);
  const std::vector<bool> reached = meter(phase).reached(faults, way.strength, tips);
  std::vector<Reading> out(tips.size());
  std::vector<Tips> moved;
  std::vector<std::size_t> index;
  for (std::size_t k = 0; k < tips.size(); ++k) {
    if (reached[k]) moved.push_back(tips[k]), index.push_back(k);
    else out[k] = level_volts(phase, levels, setup, tips[k]);
  }
  if (moved.empty()) return out;
  const auto found = meter(phase).volts({&setup, faults.faults, &levels}, way.strength, moved);
  for (std::size_t k = 0; k < index.size(); ++k) out[index[k]] = found[k];
  return out;
}

/// The mean over both phases; how much of the time an output is high is not known.
std::vector<Reading> Electrics::volts(const Variant& way, const board::Setup& setup, const std::vector<Tips>& tips) const {
  std::vector<Reading> out = phase_volts(0, way, setup, tips);
  const std::vector<Reading> high = phase_volts(1, way, setup, tips);
  for (std::size_t k = 0; k < tips.size(); ++k) {
    const double apart = std::abs(high[k].value - out[k].value);
    out[k].known = out[k].known && high[k].known;
    out[k].value = (out[k].value + high[k].value) / 2;
    out[k].source_ohm = std::min(out[k].source_ohm, high[k].source_ohm);
    out[k].spread = std::hypot(std::max(out[k].spread, high[k].spread), kDutySpread * apart);
  }
  return out;
}

std::vector<Outcome> Electrics::solve(const Case& one, const board::Setup& setup, std::span<const std::uint8_t> seen,
                                      const std::vector<std::optional<Wanted>>& what) const {
  const std::vector<Variant> ways = variants(one, seen);
  std::vector<std::vector<Reading>> readings(ways.size(), std::vector<Reading>(what.size()));
  for (std::size_t v = 0; v < ways.size(); ++v) {
    circuit::Condition condition{&setup, {}, nullptr};
    for (const Fault& f : ways[v].faults) condition.faults.push_back(&f);
    std::vector<Tips> tips;
    std::vector<std::size_t> index;
    for (std::size_t k = 0; k < what.size(); ++k) {
      if (!what[k]) continue;
      if (what[k]->kind == Kind::volts_dc) tips.push_back(what[k]->tips), index.push_back(k);
      else if (what[k]->kind == Kind::current) readings[v][k] = meter(0).current(condition, ways[v].strength, what[k]->supply);
      else if (what[k]->kind == Kind::diode) readings[v][k] = meter(0).diode(condition, ways[v].strength, what[k]->tips);
      else readings[v][k] = meter(0).ohms(condition, ways[v].strength, what[k]->tips);
    }
    const auto found = tips.empty() ? std::vector<Reading>{} : volts(ways[v], setup, tips);
    for (std::size_t k = 0; k < index.size(); ++k) readings[v][index[k]] = found[k];
  }
  std::vector<Outcome> out(what.size());
  for (std::size_t k = 0; k < what.size(); ++k) {
    std::vector<Weighed> all;
    bool known = what[k].has_value(), alike = true, anything = false;
    for (std::size_t v = 0; v < ways.size(); ++v) {
      known = known && readings[v][k].known;
      alike = alike && same(readings[v][k], readings[0][k]);
      anything = anything || ways[v].anything;
      if (known) all.push_back({ways[v].weight, shown(readings[v][k], what[k]->kind)});
    }
    if (!known) continue;
    if (!alike && anything && what[k]->kind != Kind::volts_dc && what[k]->kind != Kind::current) continue;  // anything between open and shorted
    if (alike) all = {{1.0, all[0].spread}};
    else if (anything) all[2].spread = {(all[0].spread.mean + all[1].spread.mean) / 2, std::abs(all[0].spread.mean - all[1].spread.mean) / 2 + all[0].spread.deviation};
    else widen(all);
    out[k] = what[k]->kind == Kind::continuity ? words_outcome(all) : number_outcome(all, what[k]->kind);
  }
  return out;
}

std::vector<Query> Electrics::offers(const board::Setup& setup, Kind kind) const {
  std::vector<Query> out;
  Query query;
  query.setup = setup;
  query.kind = kind;
  const auto take = [&] {
    if (wanted(query)) out.push_back(query);
  };
  const board::Machine& m = machine();
  if (kind == Kind::ohms || kind == Kind::diode) {
    query.point.at = Point::At::part;
    for (std::size_t i = 0; i < m.parts().size(); ++i) {
      const auto elements = parts::elements(*m.parts()[i].type);
      if (!m.parts()[i].fitted || m.parts()[i].surroundings || elements.size() != 1) continue;
      const parts::Template is = elements[0].kind;
      const bool fits = kind == Kind::diode ? is == parts::Template::diode : is == parts::Template::resistor || is == parts::Template::inductor || m.parts()[i].type->rate_class == "fuse";
      query.point.part = board::PartId(i);
      if (fits) take();
    }
  }
  return out;
}

std::uint32_t Electrics::intern(const Outcome& outcome) const {
  std::string bytes(reinterpret_cast<const char*>(outcome.p.data()), sizeof outcome.p);
  for (const Outcome::Part& part : outcome.parts) bytes.append(reinterpret_cast<const char*>(&part), sizeof part);
  bytes += static_cast<char>(outcome.form);
  const std::uint64_t hash = content_hash(bytes);
  const auto [from, to] = by_hash_.equal_range(hash);
  for (auto it = from; it != to; ++it) {
    const Outcome& known = outcomes_[it->second];
    if (known.form == outcome.form && known.p == outcome.p && std::memcmp(known.parts.data(), outcome.parts.data(), sizeof known.parts) == 0 && known.unit == outcome.unit) return it->second;
  }
  outcomes_.push_back(outcome);
  by_hash_.emplace(hash, static_cast<std::uint32_t>(outcomes_.size() - 1));
  return static_cast<std::uint32_t>(outcomes_.size() - 1);
}

std::vector<std::uint32_t> Electrics::ask(const std::vector<Case>& cases, const std::vector<Query>& queries) const {
  std::vector<std::uint32_t> out(cases.size() * queries.size(), 0);
  if (queries.empty()) return out;
  meter(0);
  std::vector<std::uint32_t> numbers;
  std::vector<std::optional<Wanted>> what;
  for (const Query& query : queries) {
    numbers.push_back(query_number_.try_emplace(query, static_cast<std::uint32_t>(query_number_.size())).first->second);
    what.push_back(wanted(query));
  }
  std::vector<Case> fresh;
  std::vector<std::size_t> where;
  std::vector<std::vector<std::optional<Wanted>>> missing;
  for (std::size_t c = 0; c < cases.size(); ++c) {
    std::vector<std::optional<Wanted>> unknown = what;
    bool all = true;
    for (std::size_t k = 0; k < queries.size(); ++k) {
      const auto known = cases[c].observed_outputs.empty() ? known_.find({numbers[k], cases[c].hypothesis}) : known_.end();
      if (known == known_.end()) {
        all = false;
        continue;
      }
      out[c * queries.size() + k] = known->second;
      unknown[k].reset();
    }
    if (all) continue;
    fresh.push_back(cases[c]);
    where.push_back(c);
    missing.push_back(std::move(unknown));
  }
  if (fresh.empty()) return out;
  const board::Setup& setup = queries.front().setup;
  const bool powered = setup.powered();
  std::vector<Look> looks;
  for (const NetId net : feeding_) looks.push_back(net_look(net));
  StepBudget budget(std::numeric_limits<std::uint64_t>::max());  // the cases themselves have been counted
  std::vector<std::uint8_t> seen(fresh.size() * looks.size(), 0);
  if (powered && !looks.empty()) seen = activity_.ask(setup, fresh, looks, budget);
  for (std::size_t c = 0; c < fresh.size(); ++c) {
    const auto found = solve(fresh[c], setup, {seen.data() + c * looks.size(), looks.size()}, missing[c]);
    for (std::size_t k = 0; k < queries.size(); ++k) {
      if (!missing[c][k] && what[k]) continue;  // known from before
      const std::uint32_t number = intern(found[k]);
      out[where[c] * queries.size() + k] = number;
      if (fresh[c].observed_outputs.empty()) known_[{numbers[k], fresh[c].hypothesis}] = number;
    }
  }
  return out;
}

}  // namespace halfsplit::predict
