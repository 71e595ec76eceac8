#include "oracle/clocked/wiring.h"

#include <algorithm>
#include <limits>
#include <queue>
#include <set>
#include <string>

#include "base/random.h"
#include "parts/element.h"

namespace halfsplit::oracle {

using board::Action;
using board::NetKind;
using board::PinId;
using fault::Site;
using parts::Effect;
using parts::Template;

namespace {

constexpr double kDiodeOhms = 30, kTransistorOhms = 20, kDefaultOhms = 10000, kMostOhms = 3e6;
/// A level wins over the other when its way is this many times shorter; nearer ones make a middle level.
constexpr double kClearly = 3;

bool holds_level(const parts::Block& block) {
  const auto kind = block.word("kind").value_or("signal");
  return kind != "led" && kind != "zener";
}
/// The block an element of the type belongs to.
const parts::Block* block_of(const parts::PartType& type, std::uint16_t element) {
  std::size_t first = 0;
  for (const auto& block : type.blocks) {
    if (!parts::is_element(block.kind)) continue;
    const bool diode = block.kind == Template::diode;
    const std::size_t count = std::max(block.port(diode ? "anode" : "a").size(), block.port(diode ? "cathode" : "b").size());
    if (element < first + count) return &block;
    first += count;
  }
  return nullptr;
}

}  // namespace

Wiring::Wiring(const board::Machine& machine, const board::Setup& setup, const std::vector<const fault::Fault*>& faults, std::uint64_t specimen)
    : machine_(machine), specimen_(specimen) {
  const std::size_t pins = machine.pins().size(), nets = machine.nets().size(), parts = machine.parts().size();
  pin_faults_.resize(pins);
  open_pin_.assign(pins, false);
  part_dead_.assign(parts, false);
  part_away_.assign(parts, false);
  held_.assign(parts, false);
  force_low_.assign(nets, false);
  force_high_.assign(nets, false);
  supply_short_.assign(nets, false);
  for (std::uint32_t i = 0; i < parts; ++i)
    if (!machine.parts()[i].fitted) take_out(i);
  for (const auto& action : setup.actions()) apply(action);
  for (const auto* fault : faults)
    if (!fault->site.part.known() || !part_away_[fault->site.part.index()]) apply(*fault);
  parent_.resize(nets + pins);
  for (NodeId i = 0; i < parent_.size(); ++i) parent_[i] = i;
  join_contacts();
  collect();
}

void Wiring::take_out(std::uint32_t part) {
  part_away_[part] = true;
  const auto& p = machine_.parts()[part];
  for (std::uint32_t i = 0; i < p.pin_count; ++i) open_pin_[p.first_pin.index() + i] = true;
}

void Wiring::apply(const Action& action) {
  switch (action.kind) {
    case Action::Kind::pull: take_out(action.part.index()); return;
    case Action::Kind::unplug:
      for (const auto part : machine_.plug_contacts(action.part)) take_out(part.index());
      return;
    case Action::Kind::lift: open_pin_[action.pin.index()] = true; return;
    case Action::Kind::hold: held_[action.part.index()] = true; return;
    case Action::Kind::force_low:
    case Action::Kind::force_high:
      if (const auto net = machine_.pin(action.pin).net; net.known()) (action.kind == Action::Kind::force_low ? force_low_ : force_high_)[net.index()] = true;
      return;
    case Action::Kind::power_off:
    case Action::Kind::bridge:
    case Action::Kind::open: return;
  }
}

template <class F>
void Wiring::each_driver(const fault::Fault& fault, F change) {
  if (fault.pin.known()) return change(pin_faults_[fault.pin.index()]);
  const auto& part = machine_.part(fault.site.part);
  for (std::uint32_t i = 0; i < part.pin_count; ++i)
    if (parts::can_drive(part.type->pins[i].role)) change(pin_faults_[part.first_pin.index() + i]);
}

void Wiring::apply(const fault::Fault& fault) {
  switch (fault.site.kind) {
    case Site::Kind::joint:
    case Site::Kind::track:
    case Site::Kind::drawing: open_pin_[fault.site.pin.index()] = true; return;
    case Site::Kind::contact: (fault.effect == Effect::shorted ? shorted_ : opened_).push_back({fault.site.part.index(), fault.element}); return;
    case Site::Kind::part: apply_part(fault); return;
    case Site::Kind::bridge:
    case Site::Kind::outside: return;
  }
}

void Wiring::apply_part(const fault::Fault& fault) {
  const std::uint32_t part = fault.site.part.index();
  const auto& type = *machine_.parts()[part].type;
  const bool passive = !parts::elements(type).empty();
  switch (fault.effect) {
    case Effect::stuck_low: each_driver(fault, [](PinFault& p) { p.hard_low = true; }); return;
    case Effect::stuck_high: each_driver(fault, [](PinFault& p) { p.hard_high = true; }); return;
    case Effect::no_drive:
    case Effect::cell_dead: each_driver(fault, [](PinFault& p) { p.no_drive = true; }); return;
    case Effect::drives_wrong: each_driver(fault, [](PinFault& p) { p.inverted = true; }); return;
    case Effect::weak: each_driver(fault, [](PinFault& p) { p.soft = true; }); return;
    case Effect::always_drives: each_driver(fault, [](PinFault& p) { p.always_on = true; }); return;
    case Effect::never_enabled: each_driver(fault, [](PinFault& p) { p.never_on = true; }); return;
    case Effect::ignores_input: if (fault.pin.known()) pin_faults_[fault.pin.index()].deaf = true; return;
    case Effect::drags: if (fault.pin.known()) pin_faults_[fault.pin.index()].drags = true; return;
    case Effect::dead: part_dead_[part] = true; return;
    case Effect::open:
      if (fault.pin.known()) open_pin_[fault.pin.index()] = true;
      else if (passive) opened_.push_back({part, fault.element});
      else part_dead_[part] = true;
      return;
    case Effect::shorted:
      if (passive) { shorted_.push_back({part, fault.element}); return; }
      for (std::uint32_t i = 0; i < type.pins.size(); ++i) {
        const auto net = machine_.pins()[machine_.parts()[part].first_pin.index() + i].net;
        if (type.pins[i].role == parts::PinRole::supply && net.known() && (!fault.pin.known() || fault.pin == machine_.pin_of(fault.site.part, i))) supply_short_[net.index()] = true;
      }
      return;
    case Effect::intermittent:
    case Effect::unlisted: {
      if (passive) { opened_.push_back({part, 0}); return; }
      Random random(content_hash(machine_.parts()[part].ref, specimen_));
      each_driver(fault, [&](PinFault& p) { p.moves_oddly = random.chance(0.5) ? 1 + static_cast<int>(random.below(5)) : 0; });
      return;
    }
    case Effect::cell_stuck:
    case Effect::content_wrong:  // in the memories themselves
    case Effect::resistive:
    case Effect::drifted:
    case Effect::none: return;
  }
}

NodeId Wiring::raw_node(std::uint32_t pin) const {
  const auto net = machine_.pins()[pin].net;
  return net.known() && !open_pin_[pin] ? net.index() : static_cast<NodeId>(machine_.nets().size() + pin);
}
NodeId Wiring::find(NodeId node) const {
  while (parent_[node] != node) node = parent_[node] = parent_[parent_[node]];
  return node;
}

/// Joins what conducts as copper does; everything else becomes a link.
void Wiring::join_contacts() {
  const auto listed = [](const auto& list, std::uint32_t part, std::uint16_t element) { return std::find(list.begin(), list.end(), std::pair(part, element)) != list.end(); };
  for (std::uint32_t p = 0; p < machine_.parts().size(); ++p) {
    const auto& part = machine_.parts()[p];
    if (part_away_[p] || (part_dead_[p] && !parts::elements(*part.type).empty())) continue;
    std::uint16_t number = 0;
    for (const auto& element : parts::elements(*part.type)) {
      const std::uint16_t e = number++;
      const parts::Block& block = *block_of(*part.type, e);
      const NodeId a = raw_node(part.first_pin.index() + element.a), b = raw_node(part.first_pin.index() + element.b);
      if (listed(opened_, p, e)) continue;
      bool joined = listed(shorted_, p, e) || element.kind == Template::inductor;
      if (element.kind == Template::contact) joined = joined || (block.word("closed").value_or("true") == "true") != (held_[p] && block.word("actuated").value_or("false") == "true");
      if (joined) { parent_[find(a)] = find(b); continue; }
      if (element.kind == Template::resistor) links_.push_back({a, b, std::max(1.0, block.number("ohms").value_or(part.value_si.value_or(kDefaultOhms)) * block.number("share").value_or(1))});
      if (element.kind == Template::diode && holds_level(block)) links_.push_back({a, b, kDiodeOhms, true});
    }
    for (const auto& block : part.type->blocks)
      if (block.kind == Template::transistor && !part_dead_[p]) {
        const bool npn = block.word("polarity").value_or("npn") == "npn" || block.word("polarity").value_or("npn") == "n-channel";
        const auto node = [&](const char* port) { return raw_node(part.first_pin.index() + block.port(port)[0]); };
        // Low comes from an npn's emitter, high from its collector; the other way round for a pnp.
        links_.push_back({npn ? node("collector") : node("emitter"), npn ? node("emitter") : node("collector"), kTransistorOhms, true, static_cast<std::int32_t>(node("base")), npn});
      }
  }
}

void Wiring::collect() {
  const std::size_t nets = machine_.nets().size(), all = parent_.size();
  root_.resize(all);
  for (NodeId i = 0; i < all; ++i) root_[i] = find(i);
  node_of_pin_.resize(machine_.pins().size());
  members_.assign(all, {});
  for (std::uint32_t pin = 0; pin < machine_.pins().size(); ++pin) {
    node_of_pin_[pin] = root_[raw_node(pin)];
    members_[node_of_pin_[pin]].push_back(pin);
  }
  for (auto* flags : {&ground_, &rail_, &rail_fed_}) flags->assign(all, false);
  std::vector<bool> low(all, false), high(all, false), shorted(all, false);
  for (NodeId n = 0; n < nets; ++n) {
    const auto& net = machine_.nets()[n];
    if (net.kind == NetKind::ground) ground_[root_[n]] = true;
    if (net.kind == NetKind::rail) {
      rail_[root_[n]] = true;
      bool made_here = false;
      for (const PinId pin : net.pins)
        for (const auto& block : machine_.part(machine_.pin(pin).part).type->blocks)
          made_here = made_here || (block.kind == Template::regulator && block.port("out")[0] == machine_.pin(pin).index);
      if (!made_here && !(net.source && (part_dead_[net.source->index()] || part_away_[net.source->index()]))) rail_fed_[root_[n]] = true;
    }
    if (force_low_[n]) low[root_[n]] = true;
    if (force_high_[n]) high[root_[n]] = true;
    if (supply_short_[n]) shorted[root_[n]] = true;
  }
  force_low_ = low;
  force_high_ = high;
  supply_short_ = shorted;
  for (auto& link : links_) {
    link.a = root_[link.a];
    link.b = root_[link.b];
    if (link.gate >= 0) link.gate = static_cast<std::int32_t>(root_[static_cast<NodeId>(link.gate)]);
  }
  links_.erase(std::remove_if(links_.begin(), links_.end(), [](const Link& l) { return l.a == l.b || l.ohms > kMostOhms; }), links_.end());
  links_of_.assign(all, {});
  gated_of_.assign(all, {});
  for (std::uint32_t k = 0; k < links_.size(); ++k) {
    links_of_[links_[k].a].push_back(k);
    links_of_[links_[k].b].push_back(k);
    if (links_[k].gate >= 0) gated_of_[static_cast<std::size_t>(links_[k].gate)].push_back(k);
  }
  // Nodes that hang together; a supply stands by itself and is no way for a level to pass.
  cluster_of_.assign(all, 0);
  cluster_.assign(1, {});
  const auto supply = [&](NodeId n) { return ground_[n] || rail_[n]; };
  for (NodeId n = 0; n < all; ++n) {
    if (root_[n] != n || cluster_of_[n] != 0) continue;
    cluster_.push_back({n});
    const auto id = static_cast<std::uint32_t>(cluster_.size() - 1);
    cluster_of_[n] = id;
    if (supply(n)) continue;
    for (std::size_t head = 0; head < cluster_[id].size(); ++head)
      for (const auto k : links_of_[cluster_[id][head]])
        for (const NodeId next : {links_[k].a, links_[k].b})
          if (cluster_of_[next] == 0 && !supply(next)) {
            cluster_of_[next] = id;
            cluster_[id].push_back(next);
          }
  }
}

Level Wiring::own_level(NodeId node, const std::vector<Level>& drives) const {
  bool hard_low = ground_[node] || supply_short_[node] || force_low_[node], hard_high = rail_fed_[node] || force_high_[node];
  bool low = false, high = false, soft = false, low_wins = true, drags = false;
  for (const auto pin : members_[node]) {
    const PinFault& fault = pin_faults_[pin];
    const bool taken_out = part_away_[machine_.pins()[pin].part.index()];
    if (!taken_out) {
      hard_low = hard_low || fault.hard_low;
      hard_high = hard_high || fault.hard_high;
      drags = drags || fault.drags;
    }
    if (fault.hard_low || fault.hard_high) continue;
    switch (drives[pin]) {
      case Level::low: low = true; break;
      case Level::high: high = true; break;
      case Level::middle: soft = true; break;
      case Level::none: continue;
    }
    if (const auto* family = machine_.part(machine_.pins()[pin].part).family) low_wins = low_wins && family->low_wins;
  }
  if (rail_[node] && (ground_[node] || supply_short_[node] || hard_low)) return Level::low;
  if (hard_low && hard_high) return Level::middle;
  if (hard_low) return Level::low;
  if (hard_high) return Level::high;
  if (rail_[node]) return high ? Level::high : Level::none;
  if (drags) return low ? Level::low : Level::middle;
  if (low && high) return low_wins ? Level::low : Level::middle;
  if (low) return Level::low;
  if (high) return Level::high;
  return soft ? Level::middle : Level::none;
}

void Wiring::settle(NodeId node, const std::vector<Level>& drives, std::vector<Level>& levels, std::vector<NodeId>& changed) const {
  std::vector<std::uint32_t> waiting{cluster_of_[node]};
  std::set<std::uint32_t> done;
  while (!waiting.empty()) {
    const std::uint32_t id = waiting.back();
    waiting.pop_back();
    if (!done.insert(id).second) continue;
    const auto& nodes = cluster_[id];
    constexpr double kFar = std::numeric_limits<double>::infinity();
    std::vector<std::pair<NodeId, Level>> fresh;
    if (nodes.size() == 1 && links_of_[nodes[0]].empty()) {
      fresh.push_back({nodes[0], own_level(nodes[0], drives)});
    } else {
      std::vector<double> way[2] = {std::vector<double>(levels.size(), kFar), std::vector<double>(levels.size(), kFar)};
      std::vector<Level> own(nodes.size());
      for (std::size_t i = 0; i < nodes.size(); ++i) own[i] = own_level(nodes[i], drives);
      const auto held_at = [&](NodeId n, std::size_t which) {  // a supply's level was settled by itself
        const auto at = std::find(nodes.begin(), nodes.end(), n);
        const Level level = at == nodes.end() ? levels[n] : own[static_cast<std::size_t>(at - nodes.begin())];
        return level == Level::middle || level == (which == 0 ? Level::low : Level::high);
      };
      for (std::size_t which = 0; which < 2; ++which) {
        using Item = std::pair<double, NodeId>;
        std::priority_queue<Item, std::vector<Item>, std::greater<>> queue;
        std::set<NodeId> sources(nodes.begin(), nodes.end());
        for (const NodeId n : nodes)
          for (const auto k : links_of_[n]) sources.insert({links_[k].a, links_[k].b});
        for (const NodeId n : sources)
          if (held_at(n, which)) { way[which][n] = 0; queue.push({0, n}); }
        while (!queue.empty()) {
          const auto [ohms, at] = queue.top();
          queue.pop();
          if (ohms > way[which][at]) continue;
          for (const auto k : links_of_[at]) {
            const Link& link = links_[k];
            const NodeId next = link.a == at ? link.b : link.a;
            if (link.diode && (which == 0 ? link.b != at : link.a != at)) continue;
            if (link.gate >= 0 && (levels[static_cast<NodeId>(link.gate)] == Level::high) != link.gate_high) continue;
            if (cluster_of_[next] != id || ohms + link.ohms >= way[which][next]) continue;
            way[which][next] = ohms + link.ohms;
            queue.push({way[which][next], next});
          }
        }
      }
      for (std::size_t i = 0; i < nodes.size(); ++i) {
        const double low = way[0][nodes[i]], high = way[1][nodes[i]];
        Level level = own[i];
        if (level == Level::none && (low < kFar || high < kFar))
          level = low * kClearly < high ? Level::low : high * kClearly < low ? Level::high : Level::middle;
        fresh.push_back({nodes[i], level});
      }
    }
    for (const auto& [n, level] : fresh) {
      if (levels[n] == level) continue;
      levels[n] = level;
      changed.push_back(n);
      for (const auto k : gated_of_[n]) { done.erase(cluster_of_[links_[k].a]); waiting.push_back(cluster_of_[links_[k].a]); waiting.push_back(cluster_of_[links_[k].b]); }
      if (ground_[n] || rail_[n])
        for (const auto k : links_of_[n])
          for (const NodeId other : {links_[k].a, links_[k].b}) waiting.push_back(cluster_of_[other]);
    }
  }
}

}  // namespace halfsplit::oracle
