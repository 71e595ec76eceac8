#include "circuit/troubles.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/text.h"

namespace halfsplit::circuit {
namespace {

constexpr double kWireSiemens = 10;    ///< what counts as wire between supplies
constexpr double kPathSiemens = 1e-8;  ///< less is a leak, not a path to ground
constexpr std::size_t kNamed = 6;      ///< parts named in one trouble

/// Groups of nodes.
class Groups {
 public:
  explicit Groups(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), std::size_t{0}); }
  std::size_t of(std::size_t at) {
    while (parent_[at] != at) at = parent_[at] = parent_[parent_[at]];
    return at;
  }
  void join(std::size_t a, std::size_t b) { parent_[of(a)] = of(b); }

 private:
  std::vector<std::size_t> parent_;
};

std::string names(const Circuit& circuit, const std::vector<board::PartId>& parts) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < parts.size() && i < kNamed; ++i) out.push_back(circuit.machine->part(parts[i]).ref);
  if (parts.size() > kNamed) out.push_back("and " + std::to_string(parts.size() - kNamed) + " more");
  return join(out, ", ");
}
void note(std::vector<board::PartId>& list, board::PartId part) {
  if (part.known() && std::find(list.begin(), list.end(), part) == list.end()) list.push_back(part);
}

bool carries(const Device& it) {
  if (const auto* resistor = std::get_if<Resistor>(&it.law)) return resistor->siemens >= kPathSiemens;
  return !std::holds_alternative<Nothing>(it.law);
}

/// Nodes from which nothing leads to ground: their volts are not settled by the drawing.
void find_islands(Circuit& circuit) {
  const Network& network = circuit.network;
  Groups groups(network.nodes);
  for (const Device& it : network.devices)
    if (carries(it))
      for (std::size_t i = 1; i < it.terminals; ++i) groups.join(it.node[0], it.node[i]);
  std::vector<std::vector<board::PartId>> parts(network.nodes);
  for (const Device& it : network.devices) {
    if (groups.of(it.node[0]) == groups.of(kGround) || !carries(it)) continue;
    note(parts[groups.of(it.node[0])], it.part);
  }
  for (NodeIndex node = 0; node < network.nodes; ++node) {
    if (groups.of(node) == groups.of(kGround)) continue;
    circuit.known[node] = false;
    if (groups.of(node) == node && parts[node].size() > 1)
      circuit.troubles.push_back({names(circuit, parts[node]) + ": no way to ground from here, so volts are not predicted", "a connection to ground or to a supply may be missing in the drawing", parts[node]});
  }
}

/// Supplies of different volts with nothing but wire between them.
void find_fights(Circuit& circuit) {
  const Network& network = circuit.network;
  Groups groups(network.nodes);
  for (const Device& it : network.devices)
    if (const auto* resistor = std::get_if<Resistor>(&it.law); resistor && resistor->siemens >= kWireSiemens) groups.join(it.node[0], it.node[1]);
  for (std::size_t i = 0; i < circuit.supplies.size(); ++i)
    for (std::size_t j = 0; j < i; ++j) {
      const Device &a = network.devices[circuit.supplies[i]], &b = network.devices[circuit.supplies[j]];
      const double apart = std::abs(std::get<Source>(a.law).volts - std::get<Source>(b.law).volts);
      if (apart < 0.2 || groups.of(a.node[0]) != groups.of(b.node[0])) continue;
      std::vector<board::PartId> parts;
      for (const Device& it : network.devices) {
        const auto* resistor = std::get_if<Resistor>(&it.law);
        if (resistor && resistor->siemens >= kWireSiemens && groups.of(it.node[0]) == groups.of(a.node[0])) note(parts, it.part);
      }
      for (NodeIndex node = 0; node < network.nodes; ++node)
        if (groups.of(node) == groups.of(a.node[0])) circuit.known[node] = false;
      circuit.troubles.push_back({"two supplies of different volts are joined through " + (parts.empty() ? std::string("wire") : names(circuit, parts)), "one of the nets is drawn wrong, or a part between them is missing", parts});
    }
}

/// From the blind nodes along everything that carries current between nodes that are no rails.
void spread_blindness(Circuit& circuit, const std::vector<NodeIndex>& blind) {
  std::vector<bool> stiff(circuit.network.nodes, false);
  stiff[kGround] = true;
  for (std::size_t i = 0; i < circuit.net_node.size(); ++i)
    if (circuit.machine->nets()[i].kind != board::NetKind::signal) stiff[*circuit.net_node[i]] = true;
  std::vector<std::vector<NodeIndex>> next(circuit.network.nodes);
  for (const Device& it : circuit.network.devices)
    for (std::size_t i = 0; carries(it) && i < it.terminals; ++i)
      for (std::size_t j = 0; j < it.terminals; ++j)
        if (i != j) next[it.node[i]].push_back(it.node[j]);
  std::vector<NodeIndex> todo;
  const auto reach = [&](NodeIndex node) {
    if (stiff[node] || !circuit.known[node]) return;
    circuit.known[node] = false;
    todo.push_back(node);
  };
  for (const NodeIndex node : blind) reach(node);
  while (!todo.empty()) {
    const NodeIndex at = todo.back();
    todo.pop_back();
    for (const NodeIndex node : next[at]) reach(node);
  }
}

}  // namespace

void find_troubles(Circuit& circuit, const std::vector<NodeIndex>& blind) {
  circuit.known.assign(circuit.network.nodes, true);
  const auto& nets = circuit.machine->nets();
  if (std::none_of(nets.begin(), nets.end(), [](const board::Net& net) { return net.kind == board::NetKind::ground; })) {
    circuit.known.assign(circuit.network.nodes, false);
    circuit.troubles.push_back({"no net is the ground, so no volts are predicted", "name it in board.toml: grounds = [\"GND\"]", {}});
    return;
  }
  spread_blindness(circuit, blind);
  find_islands(circuit);
  find_fights(circuit);
}

}  // namespace halfsplit::circuit
