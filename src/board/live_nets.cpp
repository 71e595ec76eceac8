#include "board/live_nets.h"

#include <numeric>

#include "parts/element.h"

namespace halfsplit::board {

namespace {

/// Disjoint sets of nets (Tarjan), by path halving.
class Clusters {
 public:
  explicit Clusters(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0u); }
  std::size_t find(std::size_t at) {
    while (parent_[at] != at) at = parent_[at] = parent_[parent_[at]];
    return at;
  }
  void join(NetId a, NetId b) {
    if (a.known() && b.known()) parent_[find(a.index())] = find(b.index());
  }

 private:
  std::vector<std::size_t> parent_;
};

/// Groups of pins of a type between which a level passes; `ended` marks the pins that are in any, capacitors included.
std::vector<std::vector<std::uint16_t>> passages(const parts::PartType& type, std::vector<bool>& ended) {
  std::vector<std::vector<std::uint16_t>> out;
  ended.assign(type.pins.size(), false);
  for (const parts::Element& element : parts::elements(type)) {
    ended[element.a] = ended[element.b] = true;
    if (element.kind != parts::Template::capacitor) out.push_back({element.a, element.b});
  }
  for (const parts::Block& block : type.blocks) {
    if (block.kind != parts::Template::transistor && block.kind != parts::Template::regulator) continue;
    out.emplace_back();
    for (const auto& [name, pins] : block.ports)
      for (const std::uint16_t pin : pins) {
        ended[pin] = true;
        if (name != "ground") out.back().push_back(pin);
      }
  }
  return out;
}

}  // namespace

std::vector<bool> live_nets(const std::vector<Part>& placed, const std::vector<Pin>& pins, const std::vector<Net>& nets,
                            const std::vector<bool>& plugged) {
  Clusters clusters(nets.size());
  std::vector<bool> source(nets.size(), false);
  for (std::size_t i = 0; i < nets.size(); ++i) source[i] = nets[i].kind != NetKind::signal || nets[i].fed;
  std::vector<bool> ended;
  for (std::size_t p = 0; p < placed.size(); ++p) {
    const Part& part = placed[p];
    if (!part.fitted) continue;
    const auto net_of = [&](std::size_t pin) { return pins[part.first_pin.index() + pin].net; };
    for (const auto& group : passages(*part.type, ended))
      for (std::size_t i = 1; i < group.size(); ++i) clusters.join(net_of(group[0]), net_of(group[i]));
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const parts::PinRole role = part.type->pins[i].role;
      const bool leads_off = role == parts::PinRole::passive && !ended[i] && part.pin_count > 1 && !plugged[p];
      if ((parts::can_drive(role) || leads_off) && net_of(i).known()) source[net_of(i).index()] = true;
    }
  }
  std::vector<bool> live_cluster(nets.size(), false), live(nets.size());
  for (std::size_t i = 0; i < nets.size(); ++i)
    if (source[i]) live_cluster[clusters.find(i)] = true;
  for (std::size_t i = 0; i < nets.size(); ++i) live[i] = live_cluster[clusters.find(i)];
  return live;
}

}  // namespace halfsplit::board
