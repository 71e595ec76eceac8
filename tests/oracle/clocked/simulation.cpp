#include "oracle/clocked/simulation.h"

#include <algorithm>
#include <set>

#include "base/random.h"
#include "oracle/clocked/state.h"

namespace halfsplit::oracle {

using board::PinId;
using parts::Block;
using parts::Effect;
using parts::PinRole;
using parts::Template;

namespace {
constexpr std::uint32_t kHalfPeriod = 12, kGate = 1, kRegister = 2;
constexpr std::uint64_t kMostTicks = 2000000, kStalled = 4000, kWanders = 900;
constexpr std::size_t kMostEventsAtOnce = 200000;
}  // namespace

Simulation::Simulation(const board::Machine& machine, const board::Setup& setup, std::vector<const fault::Fault*> faults, std::uint64_t specimen)
    : machine_(machine), faults_(std::move(faults)), specimen_(specimen), wiring_(machine, setup, faults_, specimen) {
  const std::size_t pins = machine.pins().size();
  drives_.assign(pins, Level::none);
  pending_.assign(pins, 0);
  pending_level_.assign(pins, Level::none);
  levels_.assign(wiring_.node_count(), Level::none);
  records_.resize(wiring_.node_count());
  since_.assign(wiring_.node_count(), 0);
  seen_.assign(wiring_.node_count(), 0);
  queued_.assign(machine.parts().size(), false);
  state_of_.resize(machine.parts().size());
  for (std::uint32_t p = 0; p < machine.parts().size(); ++p) {
    const auto& blocks = machine.parts()[p].type->blocks;
    for (std::size_t b = 0; b < blocks.size(); ++b) {
      state_of_[p].push_back(states_.size());
      auto state = std::make_unique<BlockState>();
      const std::size_t bits = std::max(blocks[b].port("q").size(), blocks[b].port("out").size());
      for (std::size_t i = 0; i < bits; ++i) state->q.push_back(dice(machine.parts()[p].ref + " " + std::to_string(b * 64 + i)) & 1);
      states_.push_back(std::move(state));
      const bool makes_cycles = blocks[b].kind == Template::processor || blocks[b].kind == Template::master;
      if (!makes_cycles || !machine.parts()[p].fitted || wiring_.away(p)) continue;
      auto master = std::make_unique<Master>();
      master->part = p;
      master->block = &blocks[b];
      master->processor = blocks[b].kind == Template::processor;
      master->random = Random(dice("script of " + machine.parts()[p].ref));
      masters_.push_back(std::move(master));
    }
  }
}
Simulation::~Simulation() = default;

std::uint64_t Simulation::dice(const std::string& what) const { return Random(content_hash(what, specimen_ * 2654435761u + 1)).next(); }

const Block* Simulation::processor_of(const board::Machine& machine, std::uint32_t& part) {
  for (part = 0; part < machine.parts().size(); ++part)
    if (machine.parts()[part].fitted)
      for (const auto& block : machine.parts()[part].type->blocks)
        if (block.kind == Template::processor) return &block;
  return nullptr;
}

std::vector<std::string> Simulation::unsupported(const board::Machine& machine) {
  std::vector<std::string> out;
  for (const auto& part : machine.parts())
    for (const auto& block : part.type->blocks) {
      const bool known = parts::is_element(block.kind) || block.kind == Template::gate || block.kind == Template::reg || block.kind == Template::latch || block.kind == Template::counter ||
                         block.kind == Template::shift || block.kind == Template::oscillator || block.kind == Template::memory || block.kind == Template::processor ||
                         block.kind == Template::master || block.kind == Template::box || block.kind == Template::regulator || block.kind == Template::transistor;
      if (part.fitted && !known) out.push_back(part.ref + ": " + parts::name_of(block.kind));
    }
  return out;
}

// ---- pins and nodes ----

bool Simulation::sense(std::uint32_t pin) {
  const auto& p = machine_.pins()[pin];
  const auto& part = machine_.part(p.part);
  if (wiring_.pin_fault(pin).deaf) return (part.family != nullptr && part.family->floats_high) || dice("deaf " + part.ref + std::to_string(p.index)) & 1;
  switch (levels_[wiring_.leg(PinId(pin))]) {
    case Level::low: return false;
    case Level::high: return true;
    case Level::none:  // an open bipolar input acts as high, an open MOS input wanders
      return (part.family != nullptr && part.family->floats_high) || (dice("open " + part.ref + std::to_string(p.index) + " " + std::to_string(now_ / kWanders)) & 1);
    case Level::middle: return dice("middle " + part.ref + std::to_string(p.index)) & 1;
  }
  return false;
}

bool Simulation::value(std::uint32_t part, const parts::Expression& e) {
  std::vector<bool> at(e.nodes.size());
  const std::uint32_t first = machine_.parts()[part].first_pin.index();
  for (std::size_t i = 0; i < e.nodes.size(); ++i) {
    const auto& node = e.nodes[i];
    using Op = parts::Expression::Op;
    if (node.op == Op::constant) at[i] = node.constant;
    else if (node.op == Op::pin) at[i] = sense(first + node.pin);
    else if (node.op == Op::negate) at[i] = !at[node.args[0]];
    else {
      bool all = true, any = false, odd = false;
      for (const auto arg : node.args) {
        all = all && at[arg];
        any = any || at[arg];
        odd = odd != at[arg];
      }
      at[i] = node.op == Op::conjunction ? all : node.op == Op::disjunction ? any : odd;
    }
  }
  return !at.empty() && at.back();
}
bool Simulation::term(std::uint32_t part, const Block& block, const char* name, bool otherwise) {
  const auto& terms = block.term(name);
  return terms.empty() ? otherwise : value(part, terms[0]);
}

bool Simulation::powered(std::uint32_t part) const {
  const auto& p = machine_.parts()[part];
  for (std::uint16_t i = 0; i < p.pin_count; ++i) {
    const auto role = p.type->pins[i].role;
    const Level level = levels_[wiring_.leg(PinId(p.first_pin.index() + i))];
    if (role == PinRole::supply && level != Level::high) return false;
    if (role == PinRole::ground && level != Level::low) return false;
  }
  return true;
}

void Simulation::account(NodeId node) {
  if (!recording_) return;
  NodeRecord& r = records_[node];
  if (levels_[node] == Level::high) r.high_ticks += now_ - since_[node];
  since_[node] = now_;
}

/// Begins the triggered look once the strobes have had time to settle.
void Simulation::look_afresh() {
  if (settled_at_ == 0 || now_ < settled_at_) return;
  settled_at_ = 0;
  for (NodeId n = 0; n < levels_.size(); ++n) seen_[n] = static_cast<std::uint8_t>(1u << static_cast<unsigned>(levels_[n]));
}

void Simulation::touch(std::uint32_t pin) {
  std::vector<NodeId> changed;
  const NodeId node = wiring_.leg(PinId(pin));
  const auto before = recording_ ? levels_ : std::vector<Level>();
  wiring_.settle(node, drives_, levels_, changed);
  look_afresh();
  for (const NodeId n : changed) {
    seen_[n] |= static_cast<std::uint8_t>(1u << static_cast<unsigned>(levels_[n]));
    if (recording_) {
      NodeRecord& r = records_[n];
      if (before[n] == Level::high) r.high_ticks += now_ - since_[n];
      since_[n] = now_;
      (levels_[n] == Level::low ? r.low : levels_[n] == Level::high ? r.high : levels_[n] == Level::none ? r.none : r.middle) = true;
    }
    for (const auto member : wiring_.pins_at(n)) {
      const auto part = machine_.pins()[member].part.index();
      if (!queued_[part]) { queued_[part] = true; to_evaluate_.push_back(part); }
    }
  }
}

/// An output changes after its delay; a newer decision takes back an older one that is still under way.
void Simulation::put(std::uint32_t pin, Level level, std::uint32_t delay) {
  const PinFault& fault = wiring_.pin_fault(pin);
  const std::uint32_t part = machine_.pins()[pin].part.index();
  const auto inverted = [&] { return level == Level::low ? Level::high : level == Level::high ? Level::low : level; };
  if (fault.no_drive || wiring_.dead(part)) level = Level::none;
  if (fault.inverted) level = inverted();
  if (fault.soft && level != Level::none) level = Level::middle;
  switch (fault.moves_oddly) {
    case 1: level = Level::low; break;
    case 2: level = Level::high; break;
    case 3: level = Level::none; break;
    case 4: level = inverted(); break;
    case 5: if (level != Level::none) level = Level::middle; break;
    default: break;
  }
  const bool under_way = pending_[pin] != 0;
  if ((under_way ? pending_level_[pin] : drives_[pin]) == level) return;
  pending_[pin] = ++serial_;
  pending_level_[pin] = level;
  events_.push({now_ + delay, serial_, pin, level});
}
void Simulation::put(std::uint32_t part, std::uint16_t type_pin, bool level, bool enabled, std::uint32_t delay) {
  const std::uint32_t pin = machine_.parts()[part].first_pin.index() + type_pin;
  const PinFault& fault = wiring_.pin_fault(pin);
  const auto role = machine_.parts()[part].type->pins[type_pin].role;
  if (fault.always_on) enabled = true;
  if (fault.never_on) enabled = false;
  if (role == PinRole::open_collector && level) enabled = false;
  if (role == PinRole::open_emitter && !level) enabled = false;
  put(pin, !enabled || !powered(part) ? Level::none : level ? Level::high : Level::low, delay);
}

void Simulation::process() {
  std::size_t handled = 0;
  while (!events_.empty() && events_.top().time <= now_ && ++handled < kMostEventsAtOnce) {
    while (!events_.empty() && events_.top().time <= now_) {
      const Event event = events_.top();
      events_.pop();
      if (pending_[event.pin] != event.serial) continue;
      pending_[event.pin] = 0;
      if (drives_[event.pin] == event.level) continue;
      drives_[event.pin] = event.level;
      touch(event.pin);
    }
    std::vector<std::uint32_t> batch;
    batch.swap(to_evaluate_);
    for (const auto part : batch) queued_[part] = false;
    for (const auto part : batch) evaluate(part);
  }
}

void Simulation::run(const Script& script, bool crash) {
  script_ = &script;
  crash_on_wrong_ = crash;
  for (std::uint32_t pin = 0; pin < machine_.pins().size(); ++pin) touch(pin);  // supplies come up first
  for (std::uint32_t part = 0; part < machine_.parts().size(); ++part) evaluate(part);
  std::uint64_t last_moment = 0;
  std::size_t seen = 0;
  while (now_ < kMostTicks) {
    process();
    if (moments_.size() >= script.transfers.size()) {  // the strobes of the last one still go to rest
      if (last_moment == 0 || moments_.size() != seen) { seen = moments_.size(); last_moment = now_; }
      if (now_ - last_moment > 6) break;
    }
    if (moments_.size() != seen) { seen = moments_.size(); last_moment = now_; }
    // A look begins when the program has been at it for a while, or when nothing comes of it.
    if (!recording_ && (moments_.size() * 3 > script.transfers.size() || now_ - last_moment > kResetTicks + kStalled)) {
      recording_ = true;
      recording_since_ = now_;
      for (NodeId n = 0; n < levels_.size(); ++n) {
        NodeRecord& r = records_[n];
        (levels_[n] == Level::low ? r.low : levels_[n] == Level::high ? r.high : levels_[n] == Level::none ? r.none : r.middle) = true;
        since_[n] = now_;
      }
    }
    if (recording_ && now_ - std::max(last_moment, recording_since_) > kStalled) break;
    // Oscillators and the reset delay move by time alone.
    std::uint64_t next = events_.empty() ? now_ + kHalfPeriod : events_.top().time;
    const std::uint64_t tick = (now_ / kHalfPeriod + 1) * kHalfPeriod;
    if (tick <= next) {
      now_ = tick;
      for (std::uint32_t part = 0; part < machine_.parts().size(); ++part)
        for (const auto& block : machine_.parts()[part].type->blocks)
          if (block.kind == Template::oscillator) evaluate(part);
      if (now_ >= kResetTicks && now_ < kResetTicks + kHalfPeriod)
        for (std::uint32_t part = 0; part < machine_.parts().size(); ++part) evaluate(part);
    } else {
      now_ = next;
    }
  }
  tell_stored();
  for (NodeId n = 0; n < levels_.size(); ++n) account(n);
}

// ---- chips ----

void Simulation::evaluate(std::uint32_t part) {
  const auto& p = machine_.parts()[part];
  if (!p.fitted || wiring_.away(part)) return;
  for (std::size_t b = 0; b < p.type->blocks.size(); ++b) {
    const Block& block = p.type->blocks[b];
    BlockState& state = *states_[state_of_[part][b]];
    switch (block.kind) {
      case Template::gate: gate(part, block); break;
      case Template::reg:
      case Template::counter:
      case Template::shift: clocked(part, block, state); break;
      case Template::latch: latch(part, block, state); break;
      case Template::memory: memory(part, block, state); break;
      case Template::box: box(part, block, state); break;
      case Template::oscillator:
        for (const auto pin : block.port("out")) put(part, pin, (now_ / kHalfPeriod) & 1, term(part, block, "when", true), kGate);
        break;
      case Template::regulator: {
        const std::uint32_t first = p.first_pin.index();
        const bool in = levels_[wiring_.leg(PinId(first + block.port("in")[0]))] == Level::high;
        const bool ground = block.port("ground").empty() || levels_[wiring_.leg(PinId(first + block.port("ground")[0]))] == Level::low;
        put(first + block.port("out")[0], in && ground ? Level::high : Level::none, kGate);
        break;
      }
      case Template::processor:
      case Template::master:
        for (auto& master : masters_)
          if (master->part == part && master->block == &block) clock_master(*master);
        break;
      default: break;
    }
  }
}

void Simulation::gate(std::uint32_t part, const Block& block) {
  const auto& outs = block.port("out");
  const auto &is = block.term("is"), &when = block.term("when");
  for (std::size_t i = 0; i < outs.size(); ++i) {
    const bool enabled = when.empty() || value(part, when[std::min(i, when.size() - 1)]);
    const bool level = value(part, is[std::min(i, is.size() - 1)]);
    const auto drive = block.word("drive").value_or("push-pull");
    put(part, outs[i], level, enabled && !(drive == "open-collector" && level) && !(drive == "open-emitter" && !level), kGate);
  }
}

void Simulation::show(std::uint32_t part, const Block& block, const BlockState& state) {
  const auto &q = block.port("q"), &qn = block.port("qn");
  const auto& when = block.term("when");
  for (std::size_t i = 0; i < q.size(); ++i) {
    const bool enabled = when.empty() || value(part, when[std::min(i, when.size() - 1)]);
    put(part, q[i], state.q[i], enabled, kRegister);
    if (i < qn.size()) put(part, qn[i], !state.q[i], enabled, kRegister);
  }
  bool all = true;
  for (const bool bit : state.q) all = all && bit;
  for (const auto pin : block.port("carry")) put(part, pin, all && term(part, block, "enable", true), true, kRegister);
}

void Simulation::clocked(std::uint32_t part, const Block& block, BlockState& state) {
  const bool clock = term(part, block, "clock", false);
  const bool rises = clock && !state.clock && state.seen;
  state.clock = clock;
  state.seen = true;
  std::vector<bool> next = state.q;
  if (rises && powered(part) && !wiring_.dead(part) && term(part, block, "enable", true)) {
    const auto& d = block.term("d");
    const bool load = term(part, block, "load", false);
    if (block.kind == Template::reg) {
      for (std::size_t i = 0; i < next.size(); ++i) next[i] = value(part, d[std::min(i, d.size() - 1)]);
    } else if (block.kind == Template::counter) {
      bool carry = true;
      for (std::size_t i = 0; i < next.size(); ++i) {
        const bool bit = state.q[i];
        next[i] = load ? i < d.size() && value(part, d[i]) : bit != carry;
        carry = carry && bit;
      }
    } else {  // a shift register: the serial input comes first, parallel ones behind it
      if (state.cells.size() != d.size()) state.cells.assign(d.size(), false);
      for (std::size_t i = state.cells.size(); i-- > 0;) state.cells[i] = load || i == 0 ? value(part, d[i]) : state.cells[i - 1];
      for (std::size_t i = 0; i < next.size(); ++i) next[i] = d.size() > next.size() ? state.cells[d.size() - next.size() + i] : i == 0 ? state.cells[0] : state.q[i - 1];
    }
    note_stored(part);
  }
  if (term(part, block, "clear", false)) std::fill(next.begin(), next.end(), false);
  if (term(part, block, "preset", false)) std::fill(next.begin(), next.end(), true);
  state.q = next;
  show(part, block, state);
}

void Simulation::latch(std::uint32_t part, const Block& block, BlockState& state) {
  const auto &open = block.term("open"), &d = block.term("d");
  for (std::size_t i = 0; i < state.q.size(); ++i) {
    const bool now_open = value(part, open[std::min(i, open.size() - 1)]);
    if (now_open && powered(part)) state.q[i] = value(part, d[std::min(i, d.size() - 1)]);
    if (now_open && i == 0) note_stored(part);
  }
  if (term(part, block, "clear", false)) std::fill(state.q.begin(), state.q.end(), false);
  show(part, block, state);
}

/// What a wrong content or a stuck cell does to a word: some addresses, or one bit at half of them.
std::uint32_t Simulation::spoilt(std::uint32_t part, std::uint32_t address, std::uint32_t word, std::uint32_t) const {
  for (const auto* fault : faults_) {
    if (fault->site.kind != fault::Site::Kind::part || fault->site.part.index() != part) continue;
    const std::uint64_t here = Random(address * 0x9e3779b97f4a7c15ull + specimen_).next();
    if (fault->effect == Effect::cell_stuck && fault->pin.known()) {
      const std::uint32_t bit = 1u << fault->bit;
      word = specimen_ & 1 ? word | bit : word & ~bit;
    } else if (fault->effect == Effect::cell_stuck || fault->effect == Effect::content_wrong) {
      if (here % 3 == 0) word ^= fault->pin.known() ? 1u << fault->bit : static_cast<std::uint32_t>(here >> 8) | 1u;
    }
  }
  return word;
}
std::uint32_t Simulation::content(std::uint32_t part, const BlockState& state, std::uint32_t address, std::uint32_t width) const {
  const auto found = state.memory.find(address);
  const std::uint64_t first = Random((static_cast<std::uint64_t>(part) << 32 | address) * 0x9e3779b97f4a7c15ull + 17).next();  // the same in every specimen: it is the program
  const std::uint32_t word = found != state.memory.end() ? found->second : static_cast<std::uint32_t>(first >> 20);
  return spoilt(part, address, word, width) & (width >= 32 ? ~0u : (1u << width) - 1);
}

void Simulation::memory(std::uint32_t part, const Block& block, BlockState& state) {
  const auto& address_port = block.port("address");
  const auto& data = block.port("data");
  const auto& out = data.empty() ? block.port("out") : data;
  const auto& in = data.empty() ? block.port("in") : data;
  const std::uint32_t first = machine_.parts()[part].first_pin.index();
  const auto bits = [&](const std::vector<std::uint16_t>& port) {
    std::uint32_t word = 0;
    for (std::size_t i = 0; i < port.size() && i < 32; ++i) word |= (sense(first + port[i]) ? 1u : 0u) << i;
    return word;
  };
  const bool select = term(part, block, "select", true), reads = term(part, block, "read", true), writes = select && !block.term("write").empty() && term(part, block, "write", false);
  std::uint32_t address = bits(address_port);
  if (!block.term("row").empty()) {
    const bool row = term(part, block, "row", false), column = term(part, block, "column", false);
    if (row && !state.row) state.row_address = address;
    if (column && !state.column) state.column_address = address;
    state.row = row;
    state.column = column;
    address = state.row_address << address_port.size() | state.column_address;
  }
  const bool works = powered(part) && !wiring_.dead(part);
  if (state.writing && !writes && works) {  // what stood there when the write ended is kept
    state.memory[state.last_address] = state.last_data;
    note_stored(part);
  }
  state.writing = writes;
  state.last_address = address;
  state.last_data = bits(in);
  const bool drives = select && reads;
  const std::uint32_t word = drives ? content(part, state, address, static_cast<std::uint32_t>(out.size())) : 0;
  for (std::size_t i = 0; i < out.size(); ++i) put(part, out[i], (word >> i) & 1, drives && works, 3);
}

/// Whatever is inside: outputs that move with its clock, in a pattern that depends on the levels it needs.
void Simulation::box(std::uint32_t part, const Block& block, BlockState& state) {
  const std::uint32_t first = machine_.parts()[part].first_pin.index();
  std::uint64_t still = 0;
  bool clock = false;
  for (const auto pin : block.port("needs")) {
    const bool level = sense(first + pin);
    if (machine_.parts()[part].type->pins[pin].role == PinRole::clock) clock = clock != level;
    else still = still * 2 + level;
  }
  if (clock && !state.clock) ++state.count;
  state.clock = clock;
  const auto& outs = block.port("out");
  const auto& when = block.term("when");
  const auto rest = block.word("rest").value_or("moving");
  for (std::size_t i = 0; i < outs.size(); ++i) {
    const bool bit = rest == "low" ? false : rest == "high" ? true : Random((state.count / 4 * 64 + i) * 31 + still * 7919).next() & 1;
    put(part, outs[i], bit, when.empty() || value(part, when[std::min(i, when.size() - 1)]), kRegister);
  }
}

}  // namespace halfsplit::oracle
