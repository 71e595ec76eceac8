#include "logic/overlay.h"

namespace halfsplit::logic {
namespace {

using board::Action;
using board::NetKind;
using board::PinId;
using fault::Fault;
using fault::Site;
using parts::Effect;
using parts::Template;

template <class V>
class Applier {
 public:
  Applier(Kernel<V>& kernel, const Network& network, const V& mask) : kernel_(kernel), net_(network), machine_(*network.machine), mask_(mask) {}

  bool fault(const Fault& f) {
    switch (f.site.kind) {
      case Site::Kind::joint:
      case Site::Kind::track:
      case Site::Kind::drawing: kernel_.pin_patch(f.site.pin.index()).open |= mask_; return true;
      case Site::Kind::contact:
        if (f.effect == Effect::shorted) return short_element(f.site.part.index(), f.element);
        kernel_.element_patch(f.site.part.index(), f.element).open |= mask_;
        return true;
      case Site::Kind::part: return part_fault(f);
      case Site::Kind::bridge:
      case Site::Kind::misfit:
      case Site::Kind::outside: return false;
    }
    return false;
  }
  void action(const Action& a) {
    switch (a.kind) {
      case Action::Kind::pull: pull(a.part.index()); return;
      case Action::Kind::unplug:
        pull(a.part.index());
        for (const board::PartId contacts : machine_.plug_contacts(a.part)) pull(contacts.index());
        return;
      case Action::Kind::lift: kernel_.pin_patch(a.pin.index()).open |= mask_; return;
      case Action::Kind::hold: for_elements(a.part.index(), [&](std::uint32_t e) { kernel_.element_patch(a.part.index(), e).closed |= mask_; }); return;
      case Action::Kind::force_low: hold(a.pin, true); return;
      case Action::Kind::force_high: hold(a.pin, false); return;
      case Action::Kind::power_off:
      case Action::Kind::bridge:
      case Action::Kind::open:
      case Action::Kind::fit: return;  // like parts: what they carry with them is told by the predictor
    }
  }

 private:
  void hold(PinId pin, bool low) {
    const auto net = machine_.pin(pin).net;
    if (net.known()) kernel_.hold_net(net.index(), low ? mask_ : V{}, low ? V{} : mask_);
  }
  void pull(std::uint32_t part) {
    kernel_.part_patch(part).dead |= mask_;
    const auto& p = machine_.parts()[part];
    for (std::uint32_t i = 0; i < p.pin_count; ++i)
      if (machine_.pins()[p.first_pin.index() + i].net.known()) kernel_.pin_patch(p.first_pin.index() + i).open |= mask_;
  }
  template <class F>
  void each_driver(std::uint32_t part, const PinId& only, F f) {
    if (only.known()) return f(kernel_.pin_patch(only.index()));
    const auto& p = machine_.parts()[part];
    for (std::uint32_t i = 0; i < p.pin_count; ++i)
      if (net_.drive_node[p.first_pin.index() + i] != kNone32) f(kernel_.pin_patch(p.first_pin.index() + i));
  }
  template <class F>
  void for_elements(std::uint32_t part, F f) {
    std::uint32_t element = 0;
    for (const auto& block : machine_.parts()[part].type->blocks) {
      const bool diode = block.kind == Template::diode;
      const std::size_t count = std::max(block.port(diode ? "anode" : "a").size(), block.port(diode ? "cathode" : "b").size());
      if (two_ended(block.kind))
        for (std::size_t i = 0; i < count; ++i) f(element++);
    }
  }
  static bool two_ended(Template kind) {
    return kind == Template::contact || kind == Template::resistor || kind == Template::capacitor || kind == Template::inductor || kind == Template::diode ||
           kind == Template::crystal;
  }
  bool regulates(std::uint32_t part) const {
    for (const auto& block : machine_.parts()[part].type->blocks)
      if (block.kind == Template::regulator) return true;
    return false;
  }
  bool passive(std::uint32_t part) const {
    for (const auto& block : machine_.parts()[part].type->blocks)
      if (two_ended(block.kind)) return true;
    return false;
  }
  /// Both ends of an element, as pins.
  std::pair<std::uint32_t, std::uint32_t> ends(std::uint32_t part, std::uint32_t wanted) const {
    std::uint32_t element = 0;
    const auto& p = machine_.parts()[part];
    for (const auto& block : p.type->blocks) {
      if (!two_ended(block.kind)) continue;
      const bool diode = block.kind == Template::diode;
      const auto &a = block.port(diode ? "anode" : "a"), &b = block.port(diode ? "cathode" : "b");
      const std::size_t count = std::max(a.size(), b.size());
      if (wanted < element + count && !a.empty() && !b.empty()) {
        const std::size_t i = wanted - element;
        return {p.first_pin.index() + a[std::min(i, a.size() - 1)], p.first_pin.index() + b[std::min(i, b.size() - 1)]};
      }
      element += static_cast<std::uint32_t>(count);
    }
    return {kNone32, kNone32};
  }
  bool short_element(std::uint32_t part, std::uint32_t element) {
    kernel_.element_patch(part, element).closed |= mask_;
    const auto [a, b] = ends(part, element);
    if (a == kNone32) return false;
    const auto na = machine_.pins()[a].net, nb = machine_.pins()[b].net;
    if (!na.known() || !nb.known()) return false;
    for (const auto& [from, to] : {std::pair{na, nb}, std::pair{nb, na}}) {
      const auto& n = machine_.net(from);
      if (n.kind == NetKind::ground) kernel_.hold_net(to.index(), mask_, V{});
      else if (n.kind == NetKind::rail && machine_.net(to).kind == NetKind::signal) kernel_.hold_net(to.index(), V{}, mask_);
    }
    return true;
  }
  bool content(const Fault& f, V StoragePatch<V>::*what) {
    bool some = false;
    const bool storages = !net_.part_storages[f.site.part.index()].empty();
    for (const auto s : net_.part_storages[f.site.part.index()]) {
      const auto& storage = net_.storages[s];
      if (storage.kind != Storage::Kind::content && storage.kind != Storage::Kind::bit) continue;
      if (f.pin.known() && !feeds(storage, f.pin.index())) continue;
      kernel_.storage_patch(s).*what |= mask_;
      some = true;
    }
    if (some || storages) return some;
    // A memory drawn as a box keeps nothing: what comes out of it is wrong.
    each_driver(f.site.part.index(), f.pin, [&](auto& p) { p.wrong |= mask_; });
    return true;
  }
  bool feeds(const Storage& storage, std::uint32_t pin) const {
    if (storage.kind != Storage::Kind::content) return net_.drive_node[pin] != kNone32;
    for (const auto& block : machine_.parts()[storage.part].type->blocks) {
      if (block.kind != Template::memory) continue;
      const auto& out = block.port("data").empty() ? block.port("out") : block.port("data");
      if (storage.bit < out.size()) return machine_.parts()[storage.part].first_pin.index() + out[storage.bit] == pin;
    }
    return false;
  }
  /// A short inside a chip between its supply pins takes the rail down.
  bool short_supply(std::uint32_t part, const PinId& only) {
    const auto& p = machine_.parts()[part];
    bool some = false;
    for (std::uint32_t i = 0; i < p.pin_count; ++i) {
      const PinId pin(p.first_pin.index() + i);
      if (only.known() && pin != only) continue;
      if (machine_.pin_type(pin).role != parts::PinRole::supply || !machine_.pin(pin).net.known()) continue;
      kernel_.hold_net(machine_.pin(pin).net.index(), mask_, V{});
      some = true;
    }
    return some;
  }

  bool part_fault(const Fault& f) {
    const std::uint32_t part = f.site.part.index();
    const bool links = passive(part);
    switch (f.effect) {
      case Effect::stuck_low:
        if (f.pin.known()) kernel_.pin_patch(f.pin.index()).hard_low |= mask_;
        else each_driver(part, f.pin, [&](auto& p) { p.hard_low |= mask_; });
        return true;
      case Effect::stuck_high:
        if (f.pin.known()) kernel_.pin_patch(f.pin.index()).hard_high |= mask_;
        else each_driver(part, f.pin, [&](auto& p) { p.hard_high |= mask_; });
        return true;
      case Effect::no_drive: each_driver(part, f.pin, [&](auto& p) { p.no_drive |= mask_; }); return true;
      case Effect::drives_wrong: each_driver(part, f.pin, [&](auto& p) { p.wrong |= mask_; }); return true;
      case Effect::weak: each_driver(part, f.pin, [&](auto& p) { p.weak |= mask_; }); return true;
      case Effect::ignores_input:
        if (!f.pin.known()) return false;
        kernel_.pin_patch(f.pin.index()).deaf |= mask_;
        return true;
      case Effect::drags:
        if (!f.pin.known()) return false;
        kernel_.pin_patch(f.pin.index()).drag |= mask_;
        return true;
      case Effect::dead:
        kernel_.part_patch(part).dead |= mask_;
        return true;
      case Effect::always_drives: each_driver(part, f.pin, [&](auto& p) { p.always |= mask_; }); return true;
      case Effect::never_enabled: each_driver(part, f.pin, [&](auto& p) { p.never |= mask_; }); return true;
      case Effect::cell_stuck: return content(f, &StoragePatch<V>::stuck);
      case Effect::content_wrong: return content(f, &StoragePatch<V>::wrong);
      case Effect::cell_dead:
        if (f.pin.known() && net_.drive_node[f.pin.index()] != kNone32) { kernel_.pin_patch(f.pin.index()).no_drive |= mask_; return true; }
        return content(f, &StoragePatch<V>::dead);
      case Effect::open:
        if (links) {
          if (f.pin.known()) { kernel_.pin_patch(f.pin.index()).open |= mask_; return true; }
          kernel_.element_patch(part, f.element).open |= mask_;
          return true;
        }
        if (f.pin.known()) { kernel_.pin_patch(f.pin.index()).open |= mask_; return true; }
        kernel_.part_patch(part).dead |= mask_;
        return true;
      case Effect::shorted:
        if (links) return short_element(part, f.element);
        if (regulates(part)) {  // through to its input: the rail is far off
          each_driver(part, PinId{}, [&](auto& p) { p.wrong |= mask_; });
          return true;
        }
        if (short_supply(part, f.pin)) return true;
        each_driver(part, PinId{}, [&](auto& p) { p.hard_low |= mask_; });
        return true;
      case Effect::intermittent:
      case Effect::unlisted:
        if (links) {  // a passive that misbehaves somehow: as open, the commonest
          for_elements(part, [&](std::uint32_t e) { kernel_.element_patch(part, e).open |= mask_; });
          return true;
        }
        kernel_.part_patch(part).unlisted |= mask_;
        return true;
      case Effect::resistive:
      case Effect::drifted:
      case Effect::none: return false;
    }
    return false;
  }

  Kernel<V>& kernel_;
  const Network& net_;
  const board::Machine& machine_;
  const V mask_;
};

}  // namespace

template <class V>
bool apply(Kernel<V>& kernel, const Network& network, const Overlay& overlay, const V& mask) {
  Applier<V> applier(kernel, network, mask);
  if (overlay.setup != nullptr)
    for (const auto& action : overlay.setup->actions()) applier.action(action);
  // A part that is out of the machine takes its faults with it.
  const auto away = [&](const fault::Fault& f) {
    if (overlay.setup == nullptr || !f.site.part.known()) return false;
    for (const auto& action : overlay.setup->actions())
      if (action.kind == board::Action::Kind::pull && action.part == f.site.part) return true;
    return false;
  };
  bool all = true;
  for (const auto* f : overlay.faults) all = (away(*f) || applier.fault(*f)) && all;
  for (const auto& [pin, seen] : overlay.observed_outputs) {
    auto& patch = kernel.pin_patch(pin);
    (seen == kLow ? patch.hard_low : seen == kHigh ? patch.hard_high : seen == kFloating ? patch.no_drive : seen == kMiddle ? patch.weak : patch.moving) |= mask;
  }
  return all;
}
template bool apply(Kernel<Word64>&, const Network&, const Overlay&, const Word64&);
template bool apply(Kernel<Lanes2>&, const Network&, const Overlay&, const Lanes2&);
template bool apply(Kernel<Lanes8>&, const Network&, const Overlay&, const Lanes8&);

}  // namespace halfsplit::logic
