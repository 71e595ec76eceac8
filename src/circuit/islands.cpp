#include "circuit/islands.h"

#include <numeric>
#include <optional>

namespace halfsplit::circuit {
namespace {

constexpr double kFeeds = 0.05;  ///< siemens: what joins two rails more weakly feeds neither

bool carries(const Device& it) {
  const auto* resistor = std::get_if<Resistor>(&it.law);
  return !std::holds_alternative<Nothing>(it.law) && (!resistor || resistor->siemens > 1e-11);
}

}  // namespace

Islands Islands::of(const Circuit& circuit) {
  const Network& network = circuit.network;
  std::vector<bool> rail(network.nodes, false);
  rail[kGround] = true;
  for (std::size_t i = 0; i < circuit.net_node.size(); ++i)
    if (circuit.machine->nets()[i].kind != board::NetKind::signal) rail[*circuit.net_node[i]] = true;
  std::vector<std::uint32_t> parent(network.nodes);
  std::iota(parent.begin(), parent.end(), 0u);
  const auto find = [&](std::uint32_t at) {
    while (parent[at] != at) at = parent[at] = parent[parent[at]];
    return at;
  };
  for (const Device& it : network.devices) {
    if (!carries(it)) continue;
    std::optional<NodeIndex> first;
    for (std::size_t i = 0; i < it.terminals; ++i) {
      if (rail[it.node[i]]) continue;
      if (first) parent[find(it.node[i])] = find(*first);
      first = it.node[i];
    }
  }
  Islands out;
  out.of_node.assign(network.nodes, 0);
  std::vector<std::uint32_t> number(network.nodes, 0);
  std::uint32_t count = 0;
  for (NodeIndex n = 0; n < network.nodes; ++n) {
    if (rail[n]) continue;
    std::uint32_t& id = number[find(n)];
    if (id == 0) id = ++count;
    out.of_node[n] = id;
  }
  out.feeds.assign(count + 1, false);
  std::vector<std::optional<NodeIndex>> strong(count + 1);
  for (const Device& it : network.devices) {
    const auto* resistor = std::get_if<Resistor>(&it.law);
    const bool feeder = std::holds_alternative<Regulator>(it.law) || std::holds_alternative<Source>(it.law);
    for (std::size_t i = 0; i < it.terminals; ++i) {
      const std::uint32_t island = out.of_node[it.node[i]];
      if (feeder && island != 0) out.feeds[island] = true;
      if (!resistor || resistor->siemens < kFeeds || island == 0) continue;
      const NodeIndex other = it.node[1 - i];
      if (other == kGround || !rail[other]) continue;
      if (strong[island] && *strong[island] != other) out.feeds[island] = true;
      strong[island] = other;
    }
  }
  return out;
}

}  // namespace halfsplit::circuit
