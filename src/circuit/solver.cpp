#include "circuit/solver.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace halfsplit::circuit {
namespace {

constexpr std::uint32_t kUnchanged = 0xffffffffu;
constexpr double kStill = 1e-6;            ///< volts: a device whose ends moved less keeps its currents and slopes
constexpr std::uint32_t kWarmRounds = 40, kHealthyRounds = 120, kStepRounds = 30, kFreeRounds = 15;
constexpr double kLateStep = 0.5;          ///< volts a node may move in rounds after kFreeRounds
constexpr double kBlows = 1.35;            ///< times its rating: what opens a fuse within minutes
constexpr double kBlownSiemens = 1e-12;
constexpr double kNoAmps = 1e-13;          ///< a change of current that moves nothing anywhere
constexpr double kLeastResistance = 1e-7;  ///< of what remains when a device goes: below it rounding would decide

bool is_linear(const Device& device) {
  if (const auto* source = std::get_if<Source>(&device.law)) return source->limit_a == 0;
  return std::holds_alternative<Resistor>(device.law) || std::holds_alternative<Nothing>(device.law);
}

}  // namespace

/// Positions of a device's slopes in the matrix.
struct Solver::Place {
  std::array<std::array<Pattern::Position, kMostTerminals>, kMostTerminals> at;
  std::uint8_t terminals = 0;
};
/// A device at a point: response, and what it adds to the right side.
struct Solver::Eval {
  Response response;
  std::array<double, kMostTerminals> right{};
  Memory memory;
};
/// Where the ends of a nonlinear device stood when it was evaluated.
struct Solver::Watch {
  DeviceIndex device = 0;
  std::uint8_t terminals = 0;
  bool settled = true, moved = false;
  std::array<NodeIndex, kMostTerminals> node{};
  std::array<double, kMostTerminals> at{};
  Watch(DeviceIndex index, const Device& of) : device(index), terminals(of.terminals), node(of.node) {}
  void stand(const std::vector<double>& volts) {
    for (std::size_t i = 0; i < terminals; ++i) at[i] = volts[node[i]];
  }
  bool still(const std::vector<double>& volts) const {
    for (std::size_t i = 0; i < terminals; ++i)
      if (std::abs(volts[node[i]] - at[i]) >= kStill) return false;
    return settled;
  }
};

Solver::Solver(const Network& network) : network_(network) {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  const auto join = [&](NodeIndex a, NodeIndex b) {
    if (a != kGround && b != kGround && a != b) pairs.push_back({a - 1, b - 1});
  };
  for (const Device& each : network.devices)
    for (std::size_t i = 0; i < each.terminals; ++i)
      for (std::size_t j = 0; j < i; ++j) join(each.node[i], each.node[j]);
  for (const auto& [a, b] : network.ports) join(a, b);
  pattern_ = std::make_shared<Pattern>(network.nodes - 1, pairs);
  place_devices();
  healthy_.volts.assign(network.nodes, 0);
  for (std::size_t d = 0; d < network.devices.size(); ++d) healthy_evals_.push_back(evaluated(d, healthy_.volts, true, {}));
  stamp_all();
  load({});
  last_ = healthy_;
  if (!newton(last_, kHealthyRounds)) climb(last_);
  for (Watch& watch : watches_) {
    healthy_evals_[watch.device] = now(watch.device);
    watch.moved = false;
    watch.settled = true;
    watch.stand(last_.volts);
  }
  moved_.clear();
  healthy_ = last_;
  stamp_all();
  healthy_factors_ = healthy_values_;
  if (!pattern_->factor(healthy_factors_)) healthy_.solved = last_.solved = false;
}
Solver::~Solver() = default;

Solver::Place Solver::place_of(const Device& it) const {
  Place place{};
  place.terminals = it.terminals;
  for (std::size_t i = 0; i < it.terminals; ++i)
    for (std::size_t j = 0; j < it.terminals; ++j)
      place.at[i][j] = it.node[i] == kGround || it.node[j] == kGround ? Pattern::kNowhere : pattern_->at(it.node[i] - 1, it.node[j] - 1);
  return place;
}
void Solver::place_devices() {
  const std::size_t count = network_.devices.size();
  own_.resize(count);
  change_of_.assign(count, kUnchanged);
  for (std::size_t d = 0; d < count; ++d) {
    places_.push_back(place_of(network_.devices[d]));
    if (is_linear(network_.devices[d])) continue;
    nonlinear_.push_back(static_cast<DeviceIndex>(d));
    watches_.emplace_back(static_cast<DeviceIndex>(d), network_.devices[d]);
  }
}

const Device& Solver::device(std::size_t index) const {
  return change_of_[index] == kUnchanged ? network_.devices[index] : changed_[change_of_[index]];
}
/// The evaluation that counts: its own where the device has moved or was changed.
const Solver::Eval& Solver::now(std::size_t index) const { return own_[index] ? *own_[index] : healthy_evals_[index]; }

Solver::Eval Solver::evaluated(std::size_t index, const std::vector<double>& volts, bool free, const Memory& memory) const {
  Eval out;
  out.memory = memory;
  const Device& it = device(index);
  std::array<double, kMostTerminals> v{};
  for (std::size_t i = 0; i < it.terminals; ++i) v[i] = volts[it.node[i]];
  if (const auto* source = std::get_if<Source>(&it.law); source && source_share_ != 1) {
    Device weaker = it;
    std::get<Source>(weaker.law).volts *= source_share_;
    evaluate(weaker, v, out.memory, free, out.response);
  } else {
    evaluate(it, v, out.memory, free, out.response);
  }
  for (std::size_t i = 0; i < it.terminals; ++i) {
    out.right[i] = -out.response.current[i];
    for (std::size_t j = 0; j < it.terminals; ++j) out.right[i] += out.response.slope[i][j] * v[j];
  }
  return out;
}

bool Solver::fits(const Patch& patch) const {
  for (const Device& each : patch.added)
    for (std::size_t i = 0; i < each.terminals; ++i)
      for (std::size_t j = 0; j < i; ++j)
        if (each.node[i] != kGround && each.node[j] != kGround && pattern_->at(each.node[i] - 1, each.node[j] - 1) == Pattern::kNowhere) return false;
  return true;
}

void Solver::stamp(const Place& place, const Device& it, const Eval& eval, double sign) {
  for (std::size_t i = 0; i < place.terminals; ++i) {
    if (it.node[i] == kGround) continue;
    base_right_[it.node[i] - 1] += sign * eval.right[i];
    for (std::size_t j = 0; j < place.terminals; ++j)
      if (place.at[i][j] != Pattern::kNowhere) base_[place.at[i][j]] += sign * eval.response.slope[i][j];
  }
}

/// All devices of the network at the healthy evaluations.
void Solver::stamp_all() {
  base_.assign(pattern_->places(), 0);
  base_right_.assign(network_.nodes - 1, 0);
  for (std::uint32_t row = 0; row + 1 < network_.nodes; ++row) base_[pattern_->diagonal(row)] = kLeakSiemens + ground_siemens_;
  for (std::size_t d = 0; d < network_.devices.size(); ++d) stamp(places_[d], network_.devices[d], healthy_evals_[d], 1);
  healthy_values_ = base_;
  healthy_right_ = base_right_;
}

/// Back to the healthy point, without the last patch.
void Solver::forget() {
  for (const std::uint32_t w : moved_) {
    Watch& watch = watches_[w];
    watch.moved = false;
    watch.settled = true;
    watch.stand(healthy_.volts);
    own_[watch.device].reset();
  }
  moved_.clear();
  for (const DeviceIndex d : changed_index_) {
    own_[d].reset();
    change_of_[d] = kUnchanged;
  }
  changed_.clear();
  changed_index_.clear();
  added_watches_.clear();
  places_.resize(network_.devices.size());
  own_.resize(network_.devices.size());
  change_of_.resize(network_.devices.size());
}

void Solver::load(const Patch& patch) {
  forget();
  base_ = healthy_values_;
  base_right_ = healthy_right_;
  const auto take = [&](DeviceIndex d, Device with) {
    if (change_of_[d] != kUnchanged) {
      changed_[change_of_[d]] = std::move(with);
      return;
    }
    change_of_[d] = static_cast<std::uint32_t>(changed_.size());
    changed_.push_back(std::move(with));
    changed_index_.push_back(d);
    if (d < network_.devices.size()) stamp(places_[d], network_.devices[d], healthy_evals_[d], -1);
  };
  for (const Patch::Change& change : patch.changes) {
    Device with = network_.devices[change.device];
    with.law = change.law;
    take(change.device, std::move(with));
  }
  for (const Device& each : patch.added) {
    places_.push_back(place_of(each));
    own_.emplace_back();
    change_of_.push_back(kUnchanged);
    take(static_cast<DeviceIndex>(places_.size() - 1), each);
  }
  for (const DeviceIndex d : changed_index_) {  // a changed device starts from what its new law says at the healthy volts
    own_[d] = std::make_unique<Eval>(evaluated(d, healthy_.volts, true, {}));
    if (is_linear(device(d))) {
      stamp(places_[d], device(d), *own_[d], 1);
    } else {
      added_watches_.emplace_back(d, device(d));
      added_watches_.back().stand(healthy_.volts);
    }
  }
}

/// Evaluates every nonlinear device whose ends have moved; false when none has (the point is found).
bool Solver::look_around(const std::vector<double>& volts, bool everything) {
  bool any = false;
  const auto take = [&](Watch& watch) {
    const DeviceIndex d = watch.device;
    const Memory memory = now(d).memory;
    if (!own_[d]) own_[d] = std::make_unique<Eval>();
    *own_[d] = evaluated(d, volts, false, memory);
    watch.settled = own_[d]->response.settled;
    watch.stand(volts);
    any = true;
  };
  for (std::uint32_t w = 0; w < watches_.size(); ++w) {
    Watch& watch = watches_[w];
    if (change_of_[watch.device] != kUnchanged || (!everything && watch.still(volts))) continue;
    take(watch);
    if (!watch.moved) moved_.push_back(w);
    watch.moved = true;
  }
  for (Watch& watch : added_watches_)
    if (everything || !watch.still(volts)) take(watch);
  return any;
}

bool Solver::one_round(const std::vector<double>& volts, double& moved) {
  const std::vector<double> kept_right = base_right_;
  factors_ = base_;
  factors_.swap(base_);
  for (const std::uint32_t w : moved_) {
    const DeviceIndex d = watches_[w].device;
    stamp(places_[d], network_.devices[d], healthy_evals_[d], -1);
    stamp(places_[d], network_.devices[d], *own_[d], 1);
  }
  for (const Watch& watch : added_watches_) stamp(places_[watch.device], device(watch.device), *own_[watch.device], 1);
  factors_.swap(base_);
  right_ = std::move(base_right_);
  base_right_ = kept_right;
  if (!pattern_->factor(factors_)) return false;
  pattern_->solve(factors_, right_);
  moved = 0;
  for (std::size_t k = 0; k < right_.size(); ++k) moved = std::max(moved, std::abs(right_[k] - volts[k + 1]));
  return std::isfinite(moved);
}

bool Solver::newton(Solution& out, std::uint32_t most_rounds) {
  for (std::uint32_t round = 0; round < most_rounds; ++round) {
    double moved = 0;
    if (!one_round(out.volts, moved)) return out.solved = false;
    ++out.rounds;
    const double share = round >= kFreeRounds && moved > kLateStep ? kLateStep / moved : 1;
    for (std::size_t k = 0; k < right_.size(); ++k) out.volts[k + 1] += share * (right_[k] - out.volts[k + 1]);
    if (!look_around(out.volts, false) && share == 1) return out.solved = true;
  }
  return out.solved = false;
}

/// A conductance at every node that is taken away in steps; where that fails the sources are raised from nothing.
bool Solver::climb(Solution& out) {
  const std::vector<double> base = base_, base_right = base_right_;
  const auto restart = [&] {
    out.volts.assign(network_.nodes, 0);
    look_around(out.volts, true);
  };
  const auto step = [&] {
    base_ = base;
    base_right_ = base_right;
    if (ground_siemens_ > 0)
      for (std::uint32_t row = 0; row + 1 < network_.nodes; ++row) base_[pattern_->diagonal(row)] += ground_siemens_;
    if (source_share_ != 1)
      for (std::size_t d = 0; d < places_.size(); ++d) {
        const Device& it = device(d);
        if (!is_linear(it) || !std::holds_alternative<Source>(it.law)) continue;
        const double share = source_share_;
        source_share_ = 1;
        stamp(places_[d], it, evaluated(d, healthy_.volts, true, {}), -1);
        source_share_ = share;
        stamp(places_[d], it, evaluated(d, healthy_.volts, true, {}), 1);
      }
    look_around(out.volts, true);
    return newton(out, kStepRounds);
  };
  restart();
  bool going = true;
  for (ground_siemens_ = 1e-2; going && ground_siemens_ > 1e-11; ground_siemens_ *= 0.1) going = step();
  ground_siemens_ = 0;
  if (going && step()) return true;
  restart();
  double reached = 0, stride = 0.1;
  while (reached < 1 && stride > 1e-4) {
    const Solution before = out;
    source_share_ = std::min(1.0, reached + stride);
    if (step()) {
      reached = source_share_;
      stride *= 1.5;
    } else {
      out = before;
      stride *= 0.25;
    }
  }
  source_share_ = 1;
  return out.solved = reached >= 1 && step();
}

std::vector<DeviceIndex> Solver::blown(const Solution& at) const {
  std::vector<DeviceIndex> out;
  for (DeviceIndex d = 0; d < network_.devices.size(); ++d) {
    const Device& it = device(d);
    if (!it.fuse_a) continue;
    const auto* element = std::get_if<Resistor>(&it.law);
    if (element && std::abs(at.volts[it.node[0]] - at.volts[it.node[1]]) * element->siemens > kBlows * *it.fuse_a) out.push_back(d);
  }
  return out;
}

Solution Solver::solve_wider(const Patch& patch) {
  if (!wider_ || !wider_->fits(patch)) {
    wider_.reset();
    wider_network_ = std::make_unique<Network>(network_);
    for (const Device& each : patch.added)
      for (std::size_t i = 0; i < each.terminals; ++i)
        for (std::size_t j = 0; j < i; ++j) wider_network_->ports.push_back({each.node[i], each.node[j]});
    wider_ = std::make_unique<Solver>(*wider_network_);
  }
  return wider_->solve(patch);
}

Solution Solver::solve(const Patch& patch) {
  elsewhere_ = !fits(patch);
  if (elsewhere_) return solve_wider(patch);
  opened_.clear();
  Patch with = patch;
  for (int burnt = 0;; ++burnt) {
    load(with);
    last_.volts = healthy_.volts;
    last_.rounds = 0;
    if (!newton(last_, kWarmRounds)) climb(last_);
    if (!last_.solved || burnt == 3) return last_;
    const std::vector<DeviceIndex> open = blown(last_);
    if (open.empty()) return last_;
    for (const DeviceIndex d : open) with.changes.push_back({d, Resistor{kBlownSiemens, 0}});
    opened_.insert(opened_.end(), open.begin(), open.end());
  }
}

/// Each changed or added device with its responses at these volts, as it was and as it is.
template <class Take>
void Solver::each_change(const Patch& patch, const std::vector<double>& volts, Take take) const {
  const auto compare = [&](const Device& was, const Device& is) {
    std::array<double, kMostTerminals> v{};
    for (std::size_t i = 0; i < is.terminals; ++i) v[i] = volts[is.node[i]];
    Memory memory;
    Response before, after;
    evaluate(was, v, memory, true, before);
    evaluate(is, v, memory, true, after);
    take(is, before, after);
  };
  for (const Patch::Change& change : patch.changes) {
    Device is = network_.devices[change.device];
    is.law = change.law;
    compare(network_.devices[change.device], is);
  }
  for (const Device& each : patch.added) {
    Device none = each;
    none.law = Nothing{};
    compare(none, each);
  }
}
namespace {
double largest_change(const Response& before, const Response& after) {
  double most = 0;
  for (std::size_t i = 0; i < kMostTerminals; ++i) most = std::max(most, std::abs(after.current[i] - before.current[i]));
  return most;
}
}  // namespace

double Solver::disturbance(const Patch& patch, const std::vector<double>& volts) const {
  double most = 0;
  each_change(patch, volts, [&](const Device&, const Response& before, const Response& after) { most = std::max(most, largest_change(before, after)); });
  return most;
}

/// Resistance that the healthy circuit shows between two nodes.
double Solver::port_ohms(NodeIndex a, NodeIndex b) const {
  const auto [at, fresh] = port_ohms_.try_emplace({a, b}, 0.0);
  if (!fresh) return at->second;
  std::vector<double> x(network_.nodes - 1, 0);
  if (a != kGround) x[a - 1] += 1;
  if (b != kGround) x[b - 1] -= 1;
  pattern_->solve(healthy_factors_, x);
  return at->second = (a == kGround ? 0 : x[a - 1]) - (b == kGround ? 0 : x[b - 1]);
}

/// Two-ended changes by the compensation theorem, exact where the rest is linear; of others only those that carry nothing are known to do nothing.
std::vector<Solver::Influence> Solver::influences(const Patch& patch, const std::vector<double>& seen) const {
  std::vector<Influence> out;
  std::size_t index = 0;
  each_change(patch, healthy_.volts, [&](const Device& it, const Response& before, const Response& after) {
    const Device& stays = index < patch.changes.size() ? network_.devices[patch.changes[index].device] : patch.added[index - patch.changes.size()];
    ++index;
    const double amps = largest_change(before, after);
    if (amps < kNoAmps) return;
    const bool stage = std::holds_alternative<Stage>(it.law);
    if (it.terminals > 2 && !stage) return out.push_back({stays, std::numeric_limits<double>::infinity()});
    const NodeIndex a = it.node[0], b = stage ? kGround : it.node[1];
    const double resists = 1 + (after.slope[0][0] - before.slope[0][0]) * port_ohms(a, b);
    const double reach = stage ? std::abs(seen[a]) + std::max(std::abs(seen[it.node[1]]), std::abs(seen[it.node[2]])) : std::abs(seen[a] - seen[b]);
    out.push_back({stays, resists > kLeastResistance ? reach * amps / resists : std::numeric_limits<double>::infinity()});
  });
  return out;
}

std::vector<double> Solver::seen_from(NodeIndex to, NodeIndex from) {
  if (elsewhere_) return wider_->seen_from(to, from);
  std::vector<double> x(network_.nodes - 1, 0);
  if (to != kGround) x[to - 1] += 1;
  if (from != kGround) x[from - 1] -= 1;
  pattern_->solve_transposed(factors_, x);
  x.insert(x.begin(), 0);
  return x;
}

double Solver::current_into(DeviceIndex index) const {
  if (elsewhere_) return wider_->current_into(index);
  return evaluated(index, last_.volts, true, {}).response.current[0];
}

double Solver::spread(const std::vector<double>& seen) const {
  if (elsewhere_) return wider_->spread(seen);
  double sum = 0;
  std::vector<Perturbation> each;
  for (std::size_t d = 0; d < places_.size(); ++d) {
    const Device& it = device(d);
    double nearest = 0;
    for (std::size_t i = 0; i < it.terminals; ++i) nearest = std::max(nearest, std::abs(seen[it.node[i]]));
    if (nearest < 1e-9) continue;
    each.clear();
    std::array<double, kMostTerminals> v{};
    for (std::size_t i = 0; i < it.terminals; ++i) v[i] = last_.volts[it.node[i]];
    perturbations(it, v, now(d).response, each);
    for (const Perturbation& p : each) {
      const double moved = p.amps * (seen[it.node[p.from]] - seen[it.node[p.to]]);
      sum += moved * moved;
    }
  }
  return std::sqrt(sum);
}

}  // namespace halfsplit::circuit
