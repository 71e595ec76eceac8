#include "plan/candidates.h"

#include <algorithm>
#include <set>
#include <tuple>

#include "plan/swaps.h"

namespace halfsplit::plan {
namespace {

using board::Action;
using observe::Kind;

constexpr double kWorthPulling = 0.02;      ///< share of a suspect that is worth an isolating test
constexpr double kWorthUnsoldering = 0.2;   ///< without a socket
constexpr std::size_t kMostSuspects = 6;
constexpr std::size_t kMostIsolations = 8;

bool wants_power_off(Kind kind) { return kind == Kind::ohms || kind == Kind::continuity || kind == Kind::diode || kind == Kind::capacitance; }

bool is_measurement(Kind kind) {
  return kind != Kind::function && kind != Kind::look && kind != Kind::smell && kind != Kind::touch && kind != Kind::count;
}

/// The nets a query's point lies on.
std::vector<board::NetId> nets_of(const observe::Point& point, const board::Machine& machine) {
  std::vector<board::NetId> out;
  if (point.net.known()) out.push_back(point.net);
  if (point.pin.known() && machine.pin(point.pin).net.known()) out.push_back(machine.pin(point.pin).net);
  if (point.other.known() && machine.pin(point.other).net.known()) out.push_back(machine.pin(point.other).net);
  return out;
}

class Collector {
 public:
  Collector(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options) : predictor_(predictor), rows_(rows), options_(options) {}

  std::vector<Block> collect() {
    const Action power_off{Action::Kind::power_off, {}, {}, {}, {}};
    const board::Setup on = options_.now.without(power_off), off = options_.now.with(power_off);
    const bool ohms = std::any_of(options_.kinds.begin(), options_.kinds.end(), wants_power_off);
    add(options_.now, {}, {});
    if (options_.now.powered() && ohms) add(off, {}, {});
    if (!options_.now.powered()) add(on, {}, {});
    const board::Setup whole = without_isolations(on);
    if (!(whole == on)) add(whole, {}, {});
    if (options_.isolate) isolate(on);
    for (Block& block : swap_blocks(predictor_, rows_, options_, on)) blocks_.push_back(std::move(block));
    return std::move(blocks_);
  }

 private:
  static board::Setup without_isolations(board::Setup setup) {
    for (const Action& action : std::vector<Action>(setup.actions())) {
      if (action.kind == Action::Kind::pull || action.kind == Action::Kind::lift) setup = setup.without(action);
    }
    return setup;
  }

  bool allowed(const fault::Query& query) const {
    const auto times = std::count_if(options_.asked.begin(), options_.asked.end(), [&](const fault::Evidence& piece) { return piece.query == query; });
    return times < 2 && (!options_.permitted || options_.permitted(query));
  }

  /// What the predictor does not list because it only matters once a joint is suspected: the pad beside the leg, and leg to the far end of the copper.
  std::vector<fault::Query> about_joints(const board::Setup& setup) const {
    std::vector<fault::Query> out;
    std::set<board::PinId> pins;
    for (const fault::Hypothesis& hypothesis : rows_.hypotheses) {
      for (const fault::FaultId member : hypothesis) {
        const fault::Site& site = predictor_.catalogue().fault(member).site;
        const bool copper = site.kind == fault::Site::Kind::joint || site.kind == fault::Site::Kind::track || site.kind == fault::Site::Kind::drawing;
        if (copper && site.part.known() && site.pin.known()) pins.insert(site.pin);
      }
    }
    for (const board::PinId pin : pins) {
      fault::Query query;
      query.setup = setup;
      query.point.at = observe::Point::At::leg;
      query.point.pin = pin;
      query.point.side = observe::Side::pad;
      // A logic probe belongs on signals; a rail takes the meter.
      const board::NetId net = predictor_.machine().pin(pin).net;
      query.kind = net.known() && predictor_.machine().net(net).kind != board::NetKind::signal ? Kind::volts_dc : Kind::probe;
      if (setup.powered() && has(query.kind)) out.push_back(query);
      const std::optional<board::PinId> far = far_end(pin);
      if (setup.powered() || !far || !has(Kind::continuity)) continue;
      query.kind = Kind::continuity;
      query.point.at = observe::Point::At::pair;
      query.point.other = *far;
      query.point.side = observe::Side::leg;
      out.push_back(query);
    }
    return out;
  }
  bool has(Kind kind) const { return std::find(options_.kinds.begin(), options_.kinds.end(), kind) != options_.kinds.end(); }
  std::optional<board::PinId> far_end(board::PinId pin) const {
    const board::Machine& machine = predictor_.machine();
    if (!machine.pin(pin).net.known()) return std::nullopt;
    for (const board::PinId other : machine.net(machine.pin(pin).net).pins) {
      const board::Part& part = machine.part(machine.pin(other).part);
      if (other != pin && machine.pin(other).part != machine.pin(pin).part && part.fitted && !part.surroundings) return other;
    }
    return std::nullopt;
  }

  /// With nets given: only queries there, one a net, kind and cycle (on the lifted pin itself always).
  void add(const board::Setup& setup, const std::set<board::NetId>& nets, const std::optional<board::PinId>& lifted) {
    Block block;
    block.setup = setup;
    block.isolates = !nets.empty();
    std::set<std::tuple<board::NetId, Kind, std::string>> taken;
    std::vector<fault::Query> all = predictor_.queries(setup, options_.kinds), more = nets.empty() ? about_joints(setup) : std::vector<fault::Query>{};
    all.insert(all.end(), more.begin(), more.end());
    for (fault::Query& query : all) {
      if (!allowed(query)) continue;
      if (block.isolates) {
        if (query.kind == Kind::function || query.kind == Kind::memory) {  // whether the machine works without it
          if (query.kind == Kind::memory || !predictor_.machine().function(query.point.function).held) block.queries.push_back(std::move(query));
          continue;
        }
        const bool on_pin = lifted && query.point.pin == *lifted;
        const std::vector<board::NetId> here = nets_of(query.point, predictor_.machine());
        if (here.empty() || !std::all_of(here.begin(), here.end(), [&](board::NetId net) { return nets.count(net) != 0; })) continue;
        if (!on_pin && !taken.emplace(here.front(), query.kind, query.cycle).second) continue;
      }
      block.queries.push_back(std::move(query));
    }
    if (!block.queries.empty()) blocks_.push_back(std::move(block));
  }

  void isolate(const board::Setup& on) {
    std::vector<std::pair<double, fault::SiteId>> order;
    for (const fault::SiteId site : rows_.sites) {
      const double share = rows_.weight_at(site, rows_.weights);
      if (share >= kWorthPulling) order.emplace_back(-share, site);
    }
    std::sort(order.begin(), order.end());
    if (order.size() > kMostSuspects) order.resize(kMostSuspects);
    std::size_t made = 0;
    for (const auto& [share, site] : order) {
      for (const auto& [action, nets] : ways_to_isolate(site, -share)) {
        if (made == kMostIsolations) return;
        const board::Setup setup = on.with(action);
        if (setup == on) continue;
        add(setup, nets, action.kind == Action::Kind::lift ? std::optional(action.pin) : std::nullopt);
        ++made;
      }
    }
  }

  std::vector<std::pair<Action, std::set<board::NetId>>> ways_to_isolate(fault::SiteId site, double share) const {
    std::vector<std::pair<Action, std::set<board::NetId>>> out;
    const fault::Catalogue& catalogue = predictor_.catalogue();
    std::set<board::PinId> pins;
    bool pulled = false;
    for (const fault::Hypothesis& hypothesis : rows_.hypotheses) {
      for (const fault::FaultId member : hypothesis) {
        const fault::Fault& fault = catalogue.fault(member);
        if (catalogue.site_of(member) != site || fault.site.kind != fault::Site::Kind::part || !fault.site.part.known()) continue;
        const board::Part& part = predictor_.machine().part(fault.site.part);
        if (part.surroundings) continue;
        if (!pulled && (part.socketed || share >= kWorthUnsoldering)) out.push_back({Action{Action::Kind::pull, fault.site.part, {}, {}, {}}, nets_at(fault.site.part)});
        pulled = true;
        if (!fault.pin.known() || pins.size() == 2 || !pins.insert(fault.pin).second) continue;
        const board::NetId net = predictor_.machine().pin(fault.pin).net;
        if (net.known()) out.push_back({Action{Action::Kind::lift, {}, fault.pin, {}, {}}, {net}});
      }
    }
    return out;
  }

  /// Signal nets of a part: a pulled chip leaves the rails as they are.
  std::set<board::NetId> nets_at(board::PartId part) const {
    std::set<board::NetId> out;
    const board::Machine& machine = predictor_.machine();
    for (std::size_t i = 0; i < machine.part(part).pin_count; ++i) {
      const board::NetId net = machine.pin(machine.pin_of(part, i)).net;
      if (net.known() && machine.net(net).kind == board::NetKind::signal) out.insert(net);
    }
    return out;
  }

  const fault::Predictor& predictor_;
  const Rows& rows_;
  const PlanOptions& options_;
  std::vector<Block> blocks_;
};

}  // namespace

std::vector<Block> candidates(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options) { return Collector(predictor, rows, options).collect(); }

int safety_stage(const fault::Query& query, const fault::Predictor& predictor, const PlanOptions& options) {
  if (!options.safety_order || options.shown_life) return 2;
  if (query.kind != Kind::ohms && query.kind != Kind::volts_dc) return 2;
  if (std::any_of(options.asked.begin(), options.asked.end(), [](const fault::Evidence& piece) { return is_measurement(piece.query.kind); })) return 2;
  const std::vector<board::NetId> nets = nets_of(query.point, predictor.machine());
  const bool rail = std::any_of(nets.begin(), nets.end(), [&](board::NetId net) { return predictor.machine().net(net).kind == board::NetKind::rail; });
  if (!rail) return 2;
  return query.kind == Kind::ohms ? 0 : 1;
}

}  // namespace halfsplit::plan
