#include "logic/activity.h"

#include <algorithm>
#include <mutex>

#include "logic/kernel.h"
#include "logic/overlay.h"

namespace halfsplit::logic {
namespace {

/// Reads answers off a settled kernel, for all lanes of a run.
template <class V>
class Reader {
 public:
  Reader(const Kernel<V>& kernel, const Network& network, const std::vector<Bank>& banks) : kernel_(kernel), net_(network), banks_(banks) {}

  /// One mask word per lane group: bit sets as in Seen.
  V ask(const Look& look) const {
    switch (look.kind) {
      case Look::Kind::leg: return probed(kernel_.at_leg(look.id), kernel_.occurs());
      case Look::Kind::net: return probed(kernel_.value(net_.net_node[look.id]), kernel_.occurs());
      case Look::Kind::slot: return triggered(kernel_.at_leg(look.id), only_slot(look.slot) & kernel_.occurs());
      case Look::Kind::cycle: return triggered(kernel_.at_leg(look.id), only_slot(last_slot(look.slot)) & kernel_.occurs()) | answer(may_stay_away(net_.cycles[look.slot]), kDead);
      case Look::Kind::content: return judged(look.id, only_slot(last_slot(look.slot)) & kernel_.occurs());
      case Look::Kind::stored: return judged(look.id, kernel_.occurs() & taken_in());
      case Look::Kind::stored_net: return judged_by(kernel_.value(net_.net_node[look.id]), net_.net_node[look.id], kernel_.occurs() & taken_in());
      case Look::Kind::bank: return judged(look.id, repeated<V>(banks_[look.slot].slots.data(), net_.words) & kernel_.occurs());
      case Look::Kind::starts: return starts(net_.masters[look.id]);
      case Look::Kind::function: return function(look.id);
      case Look::Kind::power: {
        const NodeId node = net_.power_node[look.id];
        if (node == kNone32) return answer(~V{}, kRight);
        const auto r = rightness<V>(kernel_.value(node), kernel_.healthy(node));
        return answer(~any(~r.right & kernel_.occurs()), kRight) | answer(any(r.wrong & kernel_.occurs()), kWrong);
      }
    }
    return V{};
  }
  /// Looks that are taken before a crash; how a program starts is one of them, whatever becomes of it later.
  bool before_crash(const Look& look) const {
    const Look::Kind kind = look.kind;
    if (kind == Look::Kind::function) return starts_up(net_.machine->functions()[look.id]);
    return kind == Look::Kind::content || kind == Look::Kind::stored || kind == Look::Kind::stored_net || kind == Look::Kind::bank || kind == Look::Kind::starts;
  }

 private:
  static bool starts_up(const board::Function& f) { return f.kind == "rom-starts"; }
  V any(const V& x) const { return anywhere(x, net_.words); }
  static V answer(const V& mask, Seen bit) { return mask & splat<V>(bit); }
  V only_slot(std::uint32_t slot) const {
    Word64 words[2] = {0, 0};
    words[slot / 64] = Word64{1} << (slot % 64);
    return repeated<V>(words, net_.words);
  }
  /// Slots in which readers take their data; on the way there a bus may hold anything.
  V taken_in() const { return repeated<V>(net_.last_phase.data(), net_.words); }
  std::uint32_t last_slot(std::uint32_t cycle) const { return net_.cycles[cycle].first_slot + net_.cycles[cycle].phases - 1; }

  /// What a logic probe can show: a level held in every slot that is driven, movement anywhere, a fight anywhere, or nothing at all.
  V probed(const Planes<V>& p, const V& slots) const {
    const V all_none = ~any(~p.none & slots);
    const V low = ~any(~(p.low | p.none) & slots) & any(p.low & slots);
    const V high = ~any(~(p.high | p.none) & slots) & any(p.high & slots);
    const V moves = any(p.moving() & slots) | (any(p.low & slots) & any(p.high & ~p.low & slots)) | (any(p.high & slots) & any(p.low & ~p.high & slots));
    return answer(low, kLow) | answer(high, kHigh) | answer(moves, kPulsing) | answer(all_none, kFloating) | answer(any(p.fight & slots), kMiddle);
  }
  /// The same in some slots only; where none of them occurs there is nothing to trigger on.
  V triggered(const Planes<V>& p, const V& slots) const {
    const V occurs = any(slots);
    return (probed(p, slots) & occurs) | answer(~occurs, kDead);
  }
  /// A processor whose program went wrong may never come to this cycle again; those that take in the program come in any case.
  V may_stay_away(const Cycle& cycle) const {
    const Master& master = net_.masters[cycle.master];
    if (!master.processor || master.rom == kNone32) return V{};
    const auto& samples = net_.storages[master.rom].samples;
    const std::uint32_t last = cycle.first_slot + cycle.phases - 1;
    if (!samples.empty() && ((samples[last / 64] >> (last % 64)) & 1u) != 0) return V{};
    return kernel_.running(cycle.master).wrong;
  }
  V judged(std::uint32_t pin, const V& slots) const {
    return judged_by(kernel_.at_leg(pin), node_of(pin), slots);
  }
  V judged_by(const Planes<V>& p, NodeId node, const V& slots) const {
    const auto r = rightness<V>(p, kernel_.healthy(node));
    const V seen = any(slots);
    return answer(~any(~r.right & slots) & seen, kRight) | answer(any(r.wrong & slots) | ~seen, kWrong);
  }
  NodeId node_of(std::uint32_t pin) const {
    const auto net = net_.machine->pins()[pin].net;
    if (net.known()) return net_.net_node[net.index()];
    return net_.drive_node[pin] == kNone32 ? 0 : net_.drive_node[pin];
  }

  /// Judged before anything crashes: what a bad RAM does to the program later is no fault of the start.
  V starts(const Master& master) const {
    const auto& alive = kernel_.state(master.alive);
    const Storage& rom = net_.storages[master.rom];
    V right = alive.right, wrong = alive.wrong | alive.low;
    if (!rom.samples.empty()) {
      const V samples = repeated<V>(rom.samples.data(), net_.words) & kernel_.occurs();
      for (const Operand& input : rom.inputs) {
        const Planes<V> p = sensed<V>(input.pin == kNone32 ? kernel_.value(input.node) : kernel_.at_leg(input.pin)), h = sensed<V>(kernel_.healthy(input.node));
        const auto r = rightness<V>(p, h);
        const V unlike = (p.low ^ h.low) | (p.high ^ h.high) | (p.right ^ h.right) | (p.wrong ^ h.wrong);  // what is unsure on the healthy machine is no news
        right &= ~any(~r.right & samples);
        wrong |= any(r.wrong & unlike & samples);
      }
    }
    return answer(right, kRight) | answer(wrong, kWrong);
  }

  V function(std::uint32_t id) const {
    const auto& f = net_.machine->functions()[id];
    V right = ~V{}, wrong{}, dead{};
    if (starts_up(f)) {
      for (const auto& master : net_.masters) {
        if (!master.processor) continue;
        const V seen = starts(master);
        right &= any(seen & splat<V>(kRight));
        const auto& alive = kernel_.state(master.alive);
        dead |= alive.wrong | alive.low;
        wrong |= any(seen & splat<V>(kWrong)) & alive.right;
      }
    }
    if (f.kind == "runs") {
      for (std::uint32_t m = 0; m < net_.masters.size(); ++m) {
        if (!net_.masters[m].processor) continue;
        const auto& master = net_.masters[m];
        const auto& alive = kernel_.state(master.alive);
        const Planes<V> run = kernel_.running(m);
        right &= run.right;
        dead |= alive.wrong | alive.low;
        wrong |= run.wrong & alive.right;
      }
    }
    const V slots = kernel_.occurs();
    for (const auto& need : f.needs) {
      if (!need.pin.known()) continue;
      const std::uint32_t pin = need.pin.index();
      const Planes<V> p = kernel_.at_leg(pin), healthy = kernel_.healthy(node_of(pin));
      const auto r = rightness<V>(p, healthy);
      right &= ~any(~r.right & slots);
      const V bad = any(r.wrong & slots), still = ~any(p.moving() & slots);
      const V should_move = any(healthy.moving() & slots);
      dead |= bad & still & should_move;
      wrong |= bad & ~(still & should_move);
    }
    return answer(right, kRight) | answer(wrong & ~dead, kWrong) | answer(dead, kDead);
  }

  const Kernel<V>& kernel_;
  const Network& net_;
  const std::vector<Bank>& banks_;
};

/// A fault of the surroundings (display, lead, operator) that a function leans on makes it fail without any logic.
std::uint8_t surroundings(const board::Machine& machine, const Look& look, const Overlay& overlay, std::uint8_t seen) {
  if (look.kind != Look::Kind::function) return seen;
  for (const auto& need : machine.functions()[look.id].needs)
    for (const auto* f : overlay.faults)
      if (need.part.known() && f->site.kind == fault::Site::Kind::part && f->site.part == need.part && f->effect != parts::Effect::none)
        return kDead | kWrong;
  return seen;
}

template <class V>
void run_all(Kernel<V>& kernel, const Network& network, const std::vector<Bank>& banks, const std::vector<Overlay>& overlays, const std::vector<Look>& looks, std::uint8_t* answers, Start start) {
  const Reader<V> reader(kernel, network, banks);
  const std::size_t at_once = kLanes<V> / network.words;
  std::vector<std::size_t> early, late;
  for (std::size_t k = 0; k < looks.size(); ++k) (reader.before_crash(looks[k]) ? early : late).push_back(k);
  for (std::size_t base = 0; base < overlays.size(); base += at_once) {
    const std::size_t count = std::min(at_once, overlays.size() - base);
    kernel.clear();
    for (std::size_t h = 0; h < count; ++h) {
      V mask{};
      for (std::uint32_t w = 0; w < network.words; ++w) set_lane(mask, static_cast<std::uint32_t>(h) * network.words + w, ~Word64{0});
      apply<V>(kernel, network, overlays[base + h], mask);
    }
    const auto collect = [&](const std::vector<std::size_t>& which) {
      for (const std::size_t k : which) {
        const V seen = reader.ask(looks[k]);
        for (std::size_t h = 0; h < count; ++h)
          answers[(base + h) * looks.size() + k] =
              surroundings(*network.machine, looks[k], overlays[base + h], static_cast<std::uint8_t>(lane(seen, static_cast<std::uint32_t>(h) * network.words)));
      }
    };
    const auto before_crash = [&] { collect(early); };
    if (start == Start::healthy) kernel.run(before_crash);
    else kernel.run_cold(start, before_crash);
    collect(late);
  }
}

}  // namespace

struct Activity::Kernels {
  std::mutex mutex;
  std::vector<std::unique_ptr<Kernel<Lanes8>>> idle;
};

Activity::Activity(Prepared prepared) : prepared_(std::move(prepared)), banks_(find_banks(prepared_.network)), kernels_(std::make_unique<Kernels>()) {}
Activity::~Activity() = default;

std::shared_ptr<const Activity> Activity::build(const board::Machine& machine, Slots slots) {
  return std::shared_ptr<const Activity>(new Activity(prepare(machine, slots)));
}

void Activity::look(const std::vector<Overlay>& overlays, const std::vector<Look>& looks, std::uint8_t* answers) const {
  std::unique_ptr<Kernel<Lanes8>> kernel;
  {
    const std::lock_guard<std::mutex> lock(kernels_->mutex);
    if (!kernels_->idle.empty()) {
      kernel = std::move(kernels_->idle.back());
      kernels_->idle.pop_back();
    }
  }
  if (!kernel) kernel = std::make_unique<Kernel<Lanes8>>(network());
  run_all<Lanes8>(*kernel, network(), banks_, overlays, looks, answers, Start::healthy);
  const std::lock_guard<std::mutex> lock(kernels_->mutex);
  kernels_->idle.push_back(std::move(kernel));
}

void Activity::look_unpacked(const std::vector<Overlay>& overlays, const std::vector<Look>& looks, std::uint8_t* answers, Start start) const {
  const auto run = [&](auto kernel) { run_all(kernel, network(), banks_, overlays, looks, answers, start); };
  if (network().words == 1) run(Kernel<Word64>(network()));
  else run(Kernel<Lanes2>(network()));
}

bool Activity::acts(const fault::Fault& fault) const {
  Kernel<Word64> kernel(network());
  return apply<Word64>(kernel, network(), Overlay{nullptr, {&fault}}, ~Word64{0});
}

std::vector<bool> Activity::upstream(const Look& look) const {
  const Network& n = network();
  std::vector<bool> seen(n.ops.size(), false);
  std::vector<NodeId> queue;
  const auto want = [&](NodeId node) {
    if (node != kNone32 && !seen[node]) { seen[node] = true; queue.push_back(node); }
  };
  const auto want_pin = [&](std::uint32_t pin) {
    const auto net = machine().pins()[pin].net;
    if (net.known()) want(n.net_node[net.index()]);
    want(n.drive_node[pin]);
  };
  const auto want_storage = [&](const Storage& s) {
    for (const auto* o : {&s.clock, &s.data, &s.control, &s.power, &s.write}) if (*o) want((*o)->node);
    for (const auto& o : s.also_data) want(o.node);
    for (const auto& o : s.inputs) want(o.node);
  };
  if (look.kind == Look::Kind::net || look.kind == Look::Kind::stored_net) want(n.net_node[look.id]);
  else if (look.kind == Look::Kind::power) want(n.power_node[look.id]);
  else if (look.kind == Look::Kind::function)
    for (const auto& need : machine().functions()[look.id].needs) { if (need.pin.known()) want_pin(need.pin.index()); }
  else if (look.kind != Look::Kind::starts) want_pin(look.id);
  for (const auto& master : n.masters) {  // occurrence of cycles hangs on every master
    for (const auto id : {master.alive, master.rom, master.ram}) { want(n.storages[id].node); want_storage(n.storages[id]); }
  }
  for (std::size_t head = 0; head < queue.size(); ++head) {
    const Op& op = n.ops[queue[head]];
    if (op.kind == OpKind::storage) want_storage(n.storages[op.aux]);
    if (op.kind == OpKind::strong || op.kind == OpKind::resolve)
      for (std::uint32_t k = 0; k < op.count; ++k) want(n.contributions[op.first + k].node);
    else
      for (std::uint32_t k = 0; k < op.count; ++k) want(n.operands[op.first + k].node);
  }
  return seen;
}

bool Activity::touches(const fault::Fault& fault, const std::vector<bool>& ops) const {
  const Network& n = network();
  const auto pin_touches = [&](std::uint32_t pin) {
    if (n.drive_node[pin] != kNone32 && ops[n.drive_node[pin]]) return true;
    const auto net = machine().pins()[pin].net;
    if (net.known() && (ops[n.net_node[net.index()]] || ops[n.strong_node[net.index()]])) return true;
    for (const auto op : n.pin_ops[pin]) if (ops[op]) return true;
    for (const auto s : n.pin_storages[pin]) if (ops[n.storages[s].node]) return true;
    return false;
  };
  if (!fault.site.part.known() && !fault.site.pin.known()) return true;
  if (fault.site.pin.known() && pin_touches(fault.site.pin.index())) return true;
  if (!fault.site.part.known()) return false;
  const auto& part = machine().part(fault.site.part);
  for (std::uint32_t i = 0; i < part.pin_count; ++i)
    if (pin_touches(part.first_pin.index() + i)) return true;
  return part.pin_count == 0;
}

}  // namespace halfsplit::logic
