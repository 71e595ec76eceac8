#include <algorithm>

#include "oracle/clocked/state.h"

namespace halfsplit::oracle {

using board::PinId;
using parts::Block;
using parts::BusCycle;

namespace {
constexpr std::uint64_t kTurnWaits = 1200, kClockLost = 200, kSettles = 12;
const std::vector<std::uint16_t>& address_of(const Block& block, const BusCycle& cycle) { return cycle.address.empty() ? block.port("address") : cycle.address; }
}  // namespace

void Simulation::drive_levels(Master& master, const std::vector<std::pair<std::uint16_t, bool>>& levels) {
  for (const auto& [pin, level] : levels) put(master.part, pin, level, true, 1);
}
void Simulation::drive_address(Master& master, bool on) {
  const auto& port = master.block->port("address");
  const auto& cycle = master.block->cycles[master.now.cycle];
  const auto& used = address_of(*master.block, cycle);
  const std::uint64_t other = Random(moments_.size() * 131 + master.now.address).next();  // lines without meaning in this cycle carry anything
  for (std::size_t i = 0; i < port.size(); ++i) {
    const auto at = std::find(used.begin(), used.end(), port[i]);
    const bool bit = at != used.end() ? (master.now.address >> (at - used.begin())) & 1 : (other >> (i % 64)) & 1;
    put(master.part, port[i], bit, on, 1);
  }
}

/// The next transfer: from the script, or anything once the program has run away.
void Simulation::begin(Master& master) {
  const auto& cycles = master.block->cycles;
  if (!master.processor) {
    master.now = {static_cast<std::uint16_t>(master.random.below(cycles.size())), static_cast<std::uint32_t>(master.random.next()), 0};
  } else if (!crashed_ && master.position < script_->transfers.size()) {
    master.now = script_->transfers[master.position];
  } else {
    master.now = {static_cast<std::uint16_t>(master.random.below(cycles.size())), static_cast<std::uint32_t>(master.random.next()), static_cast<std::uint32_t>(master.random.next())};
  }
  drive_address(master, true);
  drive_levels(master, cycles[master.now.cycle].setup);
  for (const auto pin : master.block->port("data")) put(master.part, pin, false, false, 1);
  if (master.processor) tell_stored();
  master.phase = Master::Phase::setup;
}

/// A write is stored as its strobe ends, after the data have been looked at.
void Simulation::tell_stored() {
  std::sort(stored_now_.begin(), stored_now_.end());
  stored_now_.erase(std::unique(stored_now_.begin(), stored_now_.end()), stored_now_.end());
  if (!moments_.empty()) moments_.back().stored = stored_now_;
  stored_now_.clear();
}

/// The end of a transfer: data are taken in, strobes go to rest.
void Simulation::finish(Master& master) {
  const auto& cycle = master.block->cycles[master.now.cycle];
  if (master.processor) {
    Moment moment;
    moment.cycle = master.now.cycle;
    moment.address = master.now.address;
    look_afresh();
    moment.levels = levels_;
    moment.seen = seen_;
    const auto& data = master.block->port("data");
    std::vector<NodeId> lines;
    for (std::size_t i = 0; i < data.size(); ++i) {
      const std::uint32_t pin = machine_.pin_of(board::PartId(master.part), data[i]).index();
      moment.read |= (sense(pin) ? 1u : 0u) << i;
      lines.push_back(wiring_.leg(PinId(pin)));
    }
    for (const NodeId node : lines)
      for (const auto pin : wiring_.pins_at(node)) {
        const auto part = machine_.pins()[pin].part.index();
        if (part != master.part && drives_[pin] != Level::none) moment.drivers.push_back(part);
      }
    std::sort(moment.drivers.begin(), moment.drivers.end());
    moment.drivers.erase(std::unique(moment.drivers.begin(), moment.drivers.end()), moment.drivers.end());
    const std::size_t at = master.position;
    const bool told = !crashed_ && at < script_->expected.size() && cycle.direction == BusCycle::Direction::read;
    if (told && crash_on_wrong_ && script_->crashes[at] && moment.read != script_->expected[at]) crashed_ = true;
    started_ = true;
    moments_.push_back(std::move(moment));
    ++master.position;
  }
  drive_levels(master, cycle.setup);
  if (master.block->word("idle").value_or("moving") == "none") drive_address(master, false);
  master.phase = Master::Phase::idle;
  for (std::size_t i = 0; i < masters_.size(); ++i)
    if (masters_[i].get() == &master) turn_ = (i + 1) % masters_.size();
  turn_since_ = now_;
}

/// One look at clock and reset; everything happens at rising edges.
void Simulation::clock_master(Master& master) {
  const std::uint32_t part = master.part, first = machine_.parts()[part].first_pin.index();
  const bool clock = sense(first + master.block->port("clock")[0]);
  const bool rises = clock && !master.clock && master.clock_known;
  master.clock = clock;
  master.clock_known = true;
  const auto& all_address = master.block->port("address");
  if (!powered(part) || wiring_.dead(part)) {
    for (const auto pin : all_address) put(part, pin, false, false, 1);
    for (const auto pin : master.block->port("data")) put(part, pin, false, false, 1);
    for (const auto& [pin, level] : master.block->cycles.front().setup) put(part, pin, level, false, 1);
    return;
  }
  // The capacitor at the reset input charges slowly: the line is taken as low until then.
  const bool held = term(part, *master.block, "reset", false) || now_ < kResetTicks;
  if (held) {
    master.was_reset = master.in_reset = true;
    master.phase = Master::Phase::idle;
    master.position = 0;
    for (const auto pin : master.block->port("data")) put(part, pin, false, false, 1);
    for (const auto& [pin, level] : master.block->cycles.front().setup) put(part, pin, level, true, 1);
    if (master.block->word("idle").value_or("moving") == "none") for (const auto pin : all_address) put(part, pin, false, false, 1);
    else for (const auto pin : all_address) put(part, pin, false, true, 1);
    return;
  }
  master.in_reset = false;
  if (!rises) return;
  master.last_edge = now_;
  for (const auto& running : master.block->term("running"))
    if (!value(part, running)) return;
  const auto& cycle = master.block->cycles[master.now.cycle];
  switch (master.phase) {
    case Master::Phase::idle: {
      const bool mine = masters_[turn_].get() == &master;
      const bool other_works = !mine && now_ - masters_[turn_]->last_edge < kClockLost && !masters_[turn_]->in_reset;
      const bool busy = std::any_of(masters_.begin(), masters_.end(), [&](const auto& m) { return m.get() != &master && m->phase != Master::Phase::idle && now_ - m->last_edge < kClockLost; });
      if (busy || (other_works && now_ - turn_since_ < kTurnWaits)) return;
      begin(master);
      return;
    }
    case Master::Phase::setup:
      drive_levels(master, cycle.active);
      if (cycle.direction == BusCycle::Direction::write) {
        const auto& data = master.block->port("data");
        for (std::size_t i = 0; i < data.size(); ++i) put(part, data[i], (master.now.data >> i) & 1, true, 1);
      }
      if (master.processor) settled_at_ = now_ + kSettles;
      master.phase = Master::Phase::active;
      return;
    case Master::Phase::active: finish(master); return;
  }
}

}  // namespace halfsplit::oracle
