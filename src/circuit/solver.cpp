#include "circuit/solver.h"

#include <algorithm>
#include <cmath>

namespace halfsplit::circuit {
namespace {

constexpr std::uint32_t kUnchanged = 0xffffffffu;
constexpr double kStill = 1e-6;            ///< volts: a device whose ends moved less keeps its currents and slopes
constexpr double kClose = 1e-8;            ///< volts: a round that moves no node further has arrived
constexpr std::uint32_t kWarmRounds = 40, kHealthyRounds = 120, kStepRounds = 30, kFreeRounds = 15;
constexpr double kLateStep = 0.5;          ///< volts a node may move in rounds after kFreeRounds
constexpr double kBlows = 1.35;            ///< times its rating: what opens a fuse within minutes
constexpr double kBlownSiemens = 1e-12;

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
/// A device at a point: response, the volts it was taken at, and what it adds to the right side.
struct Solver::Eval {
  Response response;
  std::array<double, kMostTerminals> volts{}, right{};
  Memory memory;
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
  healthy_evals_.resize(network.devices.size());
  own_.resize(network.devices.size());
  healthy_.volts.assign(network.nodes, 0);
  for (std::size_t d = 0; d < network.devices.size(); ++d) healthy_evals_[d] = evaluated(d, healthy_.volts, true);
  load({});
  last_ = healthy_;
  if (!newton(last_, kHealthyRounds)) climb(last_);
  for (std::size_t d = 0; d < network.devices.size(); ++d) healthy_evals_[d] = *now_[d];
  for (std::size_t d = 0; d < network.devices.size(); ++d) now_[d] = &healthy_evals_[d];
  healthy_ = last_;
}
Solver::~Solver() = default;

void Solver::place_devices() {
  for (std::size_t d = 0; d < network_.devices.size(); ++d) {
    const Device& each = network_.devices[d];
    Place place{};
    place.terminals = each.terminals;
    for (std::size_t i = 0; i < each.terminals; ++i)
      for (std::size_t j = 0; j < each.terminals; ++j)
        place.at[i][j] = each.node[i] == kGround || each.node[j] == kGround ? Pattern::kNowhere : pattern_->at(each.node[i] - 1, each.node[j] - 1);
    places_.push_back(place);
    if (!is_linear(each)) nonlinear_.push_back(static_cast<DeviceIndex>(d));
  }
}

const Device& Solver::device(std::size_t index) const {
  const std::uint32_t change = change_of_.size() > index ? change_of_[index] : kUnchanged;
  return change == kUnchanged ? network_.devices[index] : changed_[change];
}

Solver::Eval Solver::evaluated(std::size_t index, const std::vector<double>& volts, bool free) const {
  Eval out;
  if (index < now_.size() && now_[index]) out.memory = now_[index]->memory;
  const Device& it = device(index);
  for (std::size_t i = 0; i < it.terminals; ++i) out.volts[i] = volts[it.node[i]];
  if (const auto* source = std::get_if<Source>(&it.law); source && source_share_ != 1) {
    Device weaker = it;
    std::get<Source>(weaker.law).volts *= source_share_;
    evaluate(weaker, out.volts, out.memory, free, out.response);
  } else {
    evaluate(it, out.volts, out.memory, free, out.response);
  }
  for (std::size_t i = 0; i < it.terminals; ++i) {
    out.right[i] = -out.response.current[i];
    for (std::size_t j = 0; j < it.terminals; ++j) out.right[i] += out.response.slope[i][j] * out.volts[j];
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

void Solver::load(const Patch& patch) {
  const std::size_t count = network_.devices.size();
  changed_.clear();
  change_of_.assign(count + patch.added.size(), kUnchanged);
  for (const Patch::Change& change : patch.changes) {
    Device with = network_.devices[change.device];
    with.law = change.law;
    change_of_[change.device] = static_cast<std::uint32_t>(changed_.size());
    changed_.push_back(std::move(with));
  }
  places_.resize(count);
  own_.resize(count + patch.added.size());
  now_.assign(count + patch.added.size(), nullptr);
  for (std::size_t d = 0; d < count; ++d) now_[d] = &healthy_evals_[d];
  active_.clear();
  for (const DeviceIndex d : nonlinear_)
    if (change_of_[d] == kUnchanged) active_.push_back(d);
  for (const Patch::Change& change : patch.changes)
    if (!is_linear(device(change.device)) && std::find(active_.begin(), active_.end(), change.device) == active_.end()) active_.push_back(change.device);
  for (std::size_t k = 0; k < patch.added.size(); ++k) {
    const Device& each = patch.added[k];
    change_of_[count + k] = static_cast<std::uint32_t>(changed_.size());
    changed_.push_back(each);
    Place place{};
    place.terminals = each.terminals;
    for (std::size_t i = 0; i < each.terminals; ++i)
      for (std::size_t j = 0; j < each.terminals; ++j)
        place.at[i][j] = each.node[i] == kGround || each.node[j] == kGround ? Pattern::kNowhere : pattern_->at(each.node[i] - 1, each.node[j] - 1);
    places_.push_back(place);
    if (!is_linear(each)) active_.push_back(static_cast<DeviceIndex>(count + k));
  }
  for (std::size_t d = 0; d < change_of_.size(); ++d) {  // a changed device starts from what its new law says at the healthy volts
    if (change_of_[d] == kUnchanged) continue;
    now_[d] = nullptr;
    if (is_linear(device(d))) continue;
    own_[d] = std::make_unique<Eval>(evaluated(d, healthy_.volts, true));
    now_[d] = own_[d].get();
  }
  stamp_linear();
}

void Solver::stamp(const Place& place, const Device& it, const Eval& eval) {
  for (std::size_t i = 0; i < place.terminals; ++i) {
    if (it.node[i] == kGround) continue;
    right_[it.node[i] - 1] += eval.right[i];
    for (std::size_t j = 0; j < place.terminals; ++j)
      if (place.at[i][j] != Pattern::kNowhere) values_[place.at[i][j]] += eval.response.slope[i][j];
  }
}

void Solver::stamp_linear() {
  values_.assign(pattern_->places(), 0);
  right_.assign(network_.nodes - 1, 0);
  for (std::uint32_t row = 0; row + 1 < network_.nodes; ++row) values_[pattern_->diagonal(row)] = kLeakSiemens + ground_siemens_;
  const std::vector<double> nowhere(network_.nodes, 0);
  for (std::size_t d = 0; d < places_.size(); ++d) {
    const Device& it = device(d);
    if (!is_linear(it) || std::holds_alternative<Nothing>(it.law)) continue;
    stamp(places_[d], it, evaluated(d, nowhere, true));
  }
  base_ = values_;
  base_right_ = right_;
}

bool Solver::one_round(std::vector<double>& volts, double& moved, bool& settled) {
  values_ = base_;
  right_ = base_right_;
  settled = true;
  for (const DeviceIndex d : active_) {
    const Device& it = device(d);
    const Eval* known = now_[d];
    bool still = known->response.settled;
    for (std::size_t i = 0; still && i < it.terminals; ++i) still = std::abs(volts[it.node[i]] - known->volts[i]) < kStill;
    if (!still) {
      if (!own_[d]) own_[d] = std::make_unique<Eval>();
      *own_[d] = evaluated(d, volts, false);
      now_[d] = known = own_[d].get();
      settled = settled && known->response.settled;
    }
    stamp(places_[d], it, *known);
  }
  factors_.swap(values_);
  if (!pattern_->factor(factors_)) return false;
  pattern_->solve(factors_, right_);
  moved = 0;
  for (std::size_t k = 0; k < right_.size(); ++k) moved = std::max(moved, std::abs(right_[k] - volts[k + 1]));
  return std::isfinite(moved);
}

bool Solver::newton(Solution& out, std::uint32_t most_rounds) {
  for (std::uint32_t round = 0; round < most_rounds; ++round) {
    double moved = 0;
    bool settled = true;
    if (!one_round(out.volts, moved, settled)) return out.solved = false;
    ++out.rounds;
    const double share = round >= kFreeRounds && moved > kLateStep ? kLateStep / moved : 1;
    for (std::size_t k = 0; k < right_.size(); ++k) out.volts[k + 1] += share * (right_[k] - out.volts[k + 1]);
    if (settled && moved < kClose) return out.solved = true;
  }
  return out.solved = false;
}

/// A conductance at every node that is taken away in steps; where that fails the sources are raised from nothing.
bool Solver::climb(Solution& out) {
  const auto restart = [&] {
    out.volts.assign(network_.nodes, 0);
    for (const DeviceIndex d : active_) {
      now_[d] = nullptr;
      own_[d] = std::make_unique<Eval>(evaluated(d, out.volts, true));
      now_[d] = own_[d].get();
    }
  };
  const auto step = [&] {
    for (const DeviceIndex d : active_) {  // sources and conductances have changed under them
      if (!own_[d]) own_[d] = std::make_unique<Eval>(*now_[d]);
      own_[d]->response.settled = false;
      now_[d] = own_[d].get();
    }
    stamp_linear();
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
  if (reached < 1) return out.solved = false;
  return step();
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

Solution Solver::solve(const Patch& patch) {
  if (!fits(patch)) {
    if (!wider_ || !wider_->fits(patch)) {
      wider_.reset();
      wider_network_ = std::make_unique<Network>(network_);
      for (const Device& each : patch.added)
        for (std::size_t i = 0; i < each.terminals; ++i)
          for (std::size_t j = 0; j < i; ++j) wider_network_->ports.push_back({each.node[i], each.node[j]});
      wider_ = std::make_unique<Solver>(*wider_network_);
    }
    elsewhere_ = true;
    return wider_->solve(patch);
  }
  elsewhere_ = false;
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
  }
}

double Solver::disturbance(const Patch& patch, const std::vector<double>& volts) const {
  double most = 0;
  const auto compare = [&](const Device& was, const Device& is) {
    std::array<double, kMostTerminals> v{};
    for (std::size_t i = 0; i < is.terminals; ++i) v[i] = volts[is.node[i]];
    Memory memory;
    Response before, after;
    evaluate(was, v, memory, true, before);
    evaluate(is, v, memory, true, after);
    for (std::size_t i = 0; i < is.terminals; ++i) most = std::max(most, std::abs(after.current[i] - before.current[i]));
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
  return most;
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
  return evaluated(index, last_.volts, true).response.current[0];
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
    const Eval eval = now_[d] && !is_linear(it) ? *now_[d] : evaluated(d, last_.volts, true);
    std::array<double, kMostTerminals> v{};
    for (std::size_t i = 0; i < it.terminals; ++i) v[i] = last_.volts[it.node[i]];
    perturbations(it, v, eval.response, each);
    for (const Perturbation& p : each) {
      const double moved = p.amps * (seen[it.node[p.from]] - seen[it.node[p.to]]);
      sum += moved * moved;
    }
  }
  return std::sqrt(sum);
}

}  // namespace halfsplit::circuit
