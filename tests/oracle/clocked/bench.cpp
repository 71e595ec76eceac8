#include "oracle/clocked/bench.h"

#include <algorithm>
#include <set>

#include "base/random.h"
#include "base/text.h"

namespace halfsplit::oracle {

using board::PinId;
using parts::BusCycle;
using parts::Template;

namespace {
constexpr std::size_t kStartUp = 12, kBody = 70, kKeptRuns = 64, kRegionLines = 5;
Sight sight_of(bool low, bool high, bool middle) {
  if (middle) return Sight::middle;
  if (low && high) return Sight::pulsing;
  return low ? Sight::low : high ? Sight::high : Sight::floating;
}
}  // namespace

const char* name_of(Sight sight) {
  static const char* names[] = {"low", "high", "pulsing", "floating", "middle"};
  return names[static_cast<std::size_t>(sight)];
}
const char* name_of(State state) {
  static const char* names[] = {"right", "wrong", "dead"};
  return names[static_cast<std::size_t>(state)];
}

Bench::Bench(const board::Machine& machine, std::uint64_t specimen) : machine_(machine), specimen_(specimen) {
  processor_ = Simulation::processor_of(machine, processor_part_);
  if (processor_ != nullptr) explore();
}

std::vector<Moment> Bench::try_out(const std::vector<Transfer>& transfers) const {
  Script script;
  script.transfers = transfers;
  Simulation simulation(machine_, {}, {}, specimen_);
  simulation.run(script, false);
  return simulation.moments();
}

bool Bench::is_memory(std::uint32_t part, bool rom) const {
  for (const auto& block : machine_.parts()[part].type->blocks)
    if (block.kind == Template::memory) return (block.word("kind").value_or("sram") == "rom") == rom;
  return false;
}

std::size_t Bench::width(std::uint16_t cycle) const {
  const auto& own = processor_->cycles[cycle].address;
  return (own.empty() ? processor_->port("address") : own).size();
}
/// The highest lines of an address: what decoders look at.
std::uint32_t Bench::region(std::uint16_t cycle, std::uint32_t address) const {
  const std::size_t bits = width(cycle);
  return (address & ((bits >= 32 ? 0 : 1u << bits) - 1)) >> (bits > kRegionLines ? bits - kRegionLines : 0);
}
std::string Bench::name_of_transfer(std::uint16_t cycle, const std::vector<std::uint32_t>& parts) const {
  std::vector<std::string> names;
  for (const auto part : parts) names.push_back(machine_.parts()[part].ref);
  std::sort(names.begin(), names.end(), natural_less);
  return processor_->cycles[cycle].name + (names.empty() ? "" : " " + join(names, " "));
}

/// Who answers where; then a script that a program of this machine could be.
void Bench::explore() {
  const auto& cycles = processor_->cycles;
  Random random(specimen_ * 977 + 5);
  std::vector<Transfer> tries;
  for (std::uint16_t c = 0; c < cycles.size(); ++c)
    for (std::uint32_t i = 0; i < 160; ++i) {  // every pattern of the five highest lines, several times
      const std::size_t bits = width(c);
      const std::uint32_t top = bits > kRegionLines ? (i % (1u << kRegionLines)) << (bits - kRegionLines) : i;
      const std::uint32_t low = static_cast<std::uint32_t>(random.below(1u << (bits > kRegionLines ? bits - kRegionLines : 0)));
      tries.push_back({c, top | low, static_cast<std::uint32_t>(random.next()) & 0xff});
    }
  const auto seen = try_out(tries);
  // Parts that store in most transfers are clocks and counters, not answers.
  std::map<std::uint32_t, std::size_t> stores;
  for (const auto& moment : seen)
    for (const auto part : std::set<std::uint32_t>(moment.stored.begin(), moment.stored.end())) ++stores[part];
  struct Place { Transfer transfer; std::vector<std::uint32_t> parts; };
  std::vector<Place> code, variables, ports_in, ports_out, others;
  std::map<std::uint32_t, std::vector<std::uint32_t>> memory_at;  // address -> parts that answer reads
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const auto& cycle = cycles[tries[i].cycle];
    Place place{tries[i], {}};
    std::vector<std::uint32_t> answer = cycle.direction == BusCycle::Direction::read ? seen[i].drivers : std::vector<std::uint32_t>();
    if (cycle.direction == BusCycle::Direction::write)
      for (const auto part : seen[i].stored)
        if (stores[part] * 3 < seen.size()) answer.push_back(part);
    const std::string name = name_of_transfer(tries[i].cycle, answer);
    const auto [at, fresh] = class_of_.emplace(std::pair(tries[i].cycle, region(tries[i].cycle, tries[i].address)), name);
    if (!fresh && at->second != name) at->second.clear();
    if (cycle.direction == BusCycle::Direction::read) {
      place.parts = seen[i].drivers;
      if (place.parts.size() != 1 && !std::all_of(place.parts.begin(), place.parts.end(), [&](auto p) { return is_memory(p, false); })) continue;
      if (place.parts.empty()) continue;
      const bool rom = is_memory(place.parts[0], true), ram = is_memory(place.parts[0], false);
      // Parts of the way (a bus buffer) answer for what lies behind them: whoever drives is taken as it is.
      (rom ? code : ram ? variables : ports_in).push_back(place);
    } else if (cycle.direction == BusCycle::Direction::write) {
      for (const auto part : std::set<std::uint32_t>(seen[i].stored.begin(), seen[i].stored.end()))
        if (stores[part] * 3 < seen.size()) place.parts.push_back(part);
      if (place.parts.empty()) continue;
      if (!is_memory(place.parts[0], false)) ports_out.push_back(place);
    } else {
      others.push_back(place);
    }
  }
  const auto start = static_cast<std::uint32_t>(processor_->number("start").value_or(0));
  std::optional<std::uint16_t> fetch;
  for (std::uint16_t c = 0; c < cycles.size() && !fetch; ++c)
    if (cycles[c].direction == BusCycle::Direction::read && cycles[c].space != "io") fetch = c;
  std::optional<std::uint16_t> writes;
  for (std::uint16_t c = 0; c < cycles.size() && !writes; ++c)
    if (cycles[c].direction == BusCycle::Direction::write && cycles[c].space != "io") writes = c;
  const auto add = [&](Transfer transfer, bool crashes) {
    script_.transfers.push_back(transfer);
    script_.crashes.push_back(crashes);
  };
  const auto add_code = [&](Transfer transfer) {
    add(transfer, true);
    if (fetch && transfer.cycle == *fetch && !others.empty()) add({others[0].transfer.cycle, static_cast<std::uint32_t>(script_.transfers.size()), 0}, false);
  };
  for (std::uint32_t i = 0; i < kStartUp && fetch; ++i) add_code({*fetch, start + i, 0});
  // Variables at addresses that differ in one line each: what a stuck or open address line mixes up.
  for (std::size_t k = 0; k < 2 && !variables.empty() && writes; ++k) {
    const Transfer base = variables[random.below(variables.size())].transfer;
    std::vector<Transfer> reads;
    for (std::size_t bit = 0; bit <= width(*writes); ++bit) {
      Transfer read = base;
      if (bit < width(*writes)) read.address ^= 1u << bit;
      const auto found = class_of_.find({base.cycle, region(base.cycle, read.address)}), own = class_of_.find({base.cycle, region(base.cycle, base.address)});
      if (found == class_of_.end() || found->second.empty() || found->second != own->second) continue;
      add({*writes, read.address, static_cast<std::uint32_t>(random.next()) & 0xff}, false);
      reads.push_back(read);
    }
    for (const auto& read : reads) add(read, true);
  }
  std::vector<Transfer> to_read_back;
  for (std::size_t i = 0; i < kBody; ++i) {
    if (!code.empty()) add_code(code[random.below(code.size())].transfer);
    const auto data = static_cast<std::uint32_t>(random.next()) & 0xff;
    if (!variables.empty() && writes) {
      Transfer read = variables[random.below(variables.size())].transfer;
      add({*writes, read.address, data}, false);
      if (random.chance(0.5)) add(read, true);
      else to_read_back.push_back(read);
    }
    if (i % 4 == 3)
      for (const auto& read : to_read_back) add(read, true);
    if (i % 4 == 3) to_read_back.clear();
    if (!ports_out.empty() && random.chance(0.5)) {
      Transfer out = ports_out[random.below(ports_out.size())].transfer;
      out.data = data;
      add(out, false);
    }
    if (!ports_in.empty() && random.chance(0.4)) add(ports_in[random.below(ports_in.size())].transfer, false);
  }
  const auto healthy = try_out(script_.transfers);
  for (const auto& moment : healthy) {
    script_.expected.push_back(moment.read);
    const auto& cycle = cycles[moment.cycle];
    std::vector<std::uint32_t> parts;
    if (cycle.direction == BusCycle::Direction::read) parts = moment.drivers;
    if (cycle.direction == BusCycle::Direction::write)
      for (const auto part : std::set<std::uint32_t>(moment.stored.begin(), moment.stored.end()))
        if (stores[part] * 3 < seen.size()) parts.push_back(part);
    names_.push_back(name_of_transfer(moment.cycle, parts));
    script_.crashes[answering_.size()] = script_.crashes[answering_.size()] && !parts.empty() && (is_memory(parts[0], true) || is_memory(parts[0], false));
    answering_.push_back(parts);
  }
}

Bench::Run& Bench::keep(const Faults& faults, const board::Setup& setup, bool crash) const {
  const std::pair<Key, bool> key{{faults, setup}, crash};
  if (const auto found = runs_.find(key); found != runs_.end()) return found->second;
  if (runs_.size() > kKeptRuns)
    for (auto it = runs_.begin(); it != runs_.end();) it = it->first.first.first.empty() ? std::next(it) : runs_.erase(it);
  auto simulation = std::make_unique<Simulation>(machine_, setup, faults, specimen_);
  simulation->run(script_, crash);
  Run& kept = runs_[key];
  kept.simulation = std::move(simulation);
  look_at_cycles(kept);
  return kept;
}

void Bench::look_at_cycles(Run& run) const {
  const auto& moments = run.simulation->moments();
  for (std::size_t i = moments.size() / 3; i < moments.size() && i < names_.size(); ++i) {
    const auto& moment = moments[i];
    const bool as_meant = moment.cycle == script_.transfers[i].cycle && moment.address == script_.transfers[i].address;
    const auto known = class_of_.find({moment.cycle, region(moment.cycle, moment.address)});
    const std::string& name = as_meant || known == class_of_.end() ? names_[i] : known->second;
    if (name.empty() || (!as_meant && known == class_of_.end())) continue;
    auto& all = run.in_cycle[name];
    all.resize(moment.seen.size(), 0);
    for (std::size_t n = 0; n < all.size(); ++n) all[n] |= moment.seen[n];
  }
}

NodeId Bench::node(const Simulation& run, const observe::Point& point) const {
  return point.at == observe::Point::At::net ? run.wiring().net(point.net) : run.wiring().leg(point.pin);
}

Sight Bench::probe(const Faults& faults, const board::Setup& setup, const observe::Point& point) const {
  const Simulation& here = run(faults, setup, true);
  const NodeRecord& r = here.record(node(here, point));
  return sight_of(r.low, r.high, r.middle);
}
double Bench::high_share(const Faults& faults, const board::Setup& setup, const observe::Point& point) const {
  const Simulation& here = run(faults, setup, true);
  return static_cast<double>(here.record(node(here, point)).high_ticks) / static_cast<double>(std::max<std::uint64_t>(1, here.recorded_ticks()));
}

std::optional<Sight> Bench::in_cycle(const Faults& faults, const board::Setup& setup, PinId pin, const std::string& cycle) const {
  const Run& kept = keep(faults, setup, true);
  const auto found = kept.in_cycle.find(cycle);
  if (found == kept.in_cycle.end()) return std::nullopt;
  const std::uint8_t seen = found->second[kept.simulation->wiring().leg(pin)];
  const auto saw = [&](Level level) { return (seen >> static_cast<unsigned>(level) & 1) != 0; };
  return sight_of(saw(Level::low), saw(Level::high), saw(Level::middle));
}

/// The pin's leg at every transfer of the script, against the healthy machine.
bool Bench::traces_agree(const Simulation& run, const Simulation& healthy, PinId pin) const {
  if (run.moments().size() != healthy.moments().size()) return false;
  const NodeId here = run.wiring().leg(pin), there = healthy.wiring().leg(pin);
  for (std::size_t i = 0; i < run.moments().size(); ++i)
    if (run.moments()[i].levels[here] != healthy.moments()[i].levels[there]) return false;
  return true;
}

State Bench::function(const Faults& faults, const board::Setup& setup, board::FunctionId id) const {
  const auto& f = machine_.function(id);
  board::Setup tried = setup;
  if (f.held) {
    board::Action hold;
    hold.kind = board::Action::Kind::hold;
    hold.part = *f.held;
    tried = setup.with(hold);
  }
  const Simulation &here = run(faults, tried, true), &healthy = run({}, tried, true);
  bool wrong = false, dead = !here.started() && healthy.started();
  if (f.kind == "rom-starts") {
    for (std::size_t i = 0; i < script_.transfers.size() && i < 2 * kStartUp; ++i)
      wrong = wrong || i >= here.moments().size() || (script_.crashes[i] && here.moments()[i].read != script_.expected[i]);
    for (const auto& need : f.needs) if (need.pin.known()) wrong = wrong || here.record(here.wiring().leg(need.pin)).low != healthy.record(healthy.wiring().leg(need.pin)).low;
  } else {
    if (f.kind == "runs") wrong = here.crashed();
    for (const auto& need : f.needs) {
      if (need.part.known())
        for (const auto* fault : faults) dead = dead || (fault->site.kind == fault::Site::Kind::part && fault->site.part == need.part && fault->effect != parts::Effect::none);
      if (!need.pin.known() || traces_agree(here, healthy, need.pin)) continue;
      const auto &a = here.record(here.wiring().leg(need.pin)), &b = healthy.record(healthy.wiring().leg(need.pin));
      (b.low && b.high && !(a.low && a.high) ? dead : wrong) = true;
    }
  }
  return dead ? State::dead : wrong ? State::wrong : State::right;
}

MemoryTest Bench::memory(const Faults& faults, const board::Setup& setup, const std::vector<board::PartId>& parts) const {
  const Simulation& here = run(faults, setup, false);
  MemoryTest out;
  if (here.moments().size() < script_.transfers.size()) return out;
  const auto of_these = [&](std::size_t i) {
    return std::any_of(answering_[i].begin(), answering_[i].end(), [&](std::uint32_t p) { return std::find(parts.begin(), parts.end(), board::PartId(p)) != parts.end(); });
  };
  out.reports = true;
  for (std::size_t i = 0; i < script_.transfers.size(); ++i) {
    if (!script_.crashes[i]) continue;
    const std::uint32_t off = here.moments()[i].read ^ script_.expected[i];
    const bool rom = !answering_[i].empty() && is_memory(answering_[i][0], true);
    if (rom && off != 0) out.reports = false;  // the test program itself cannot be read
    if (!rom && of_these(i)) out.failing |= off;
  }
  if (!out.reports) out.failing = 0;
  return out;
}

std::vector<std::string> Bench::cycle_names() const {
  const std::set<std::string> all(names_.begin(), names_.end());
  return {all.begin(), all.end()};
}

std::vector<std::string> Bench::unsound() const {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < names_.size(); ++i)
    if (processor_->cycles[script_.transfers[i].cycle].direction == BusCycle::Direction::read && answering_[i].empty()) out.push_back(names_[i]);
  return out;
}

}  // namespace halfsplit::oracle
