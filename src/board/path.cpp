// Breadth-first search (Moore 1959) over a directed graph of parts and nets; an arc part -> net is a pin that can drive, net -> part one that
// listens, passive pins give both. Cost: O(pins) a query; the graph is laid down once per machine.
#include <boost/graph/breadth_first_search.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>

#include <algorithm>
#include <limits>

#include "board/machine_data.h"

namespace halfsplit::board {

namespace {

struct ArcPin { PinId pin; };
using Graph = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, ArcPin>;
using Vertex = boost::graph_traits<Graph>::vertex_descriptor;
using Arc = boost::graph_traits<Graph>::edge_descriptor;
constexpr std::size_t kFar = std::numeric_limits<std::size_t>::max();

bool carries_signals(parts::PinRole role) {
  return role != parts::PinRole::supply && role != parts::PinRole::ground && role != parts::PinRole::not_connected;
}
bool gives(parts::PinRole role) { return role == parts::PinRole::passive || parts::can_drive(role); }
bool takes(parts::PinRole role) { return role == parts::PinRole::passive || parts::listens(role); }

/// Distance of every vertex from the start, and the pin through which it was first reached.
struct Reach {
  std::vector<std::size_t> distance;
  std::vector<PinId> by;
  std::vector<Vertex> before;
};

class Recorder : public boost::default_bfs_visitor {
 public:
  explicit Recorder(Reach& reach) : reach_(&reach) {}
  void tree_edge(const Arc& arc, const Graph& graph) const {
    const Vertex from = source(arc, graph), to = target(arc, graph);
    reach_->distance[to] = reach_->distance[from] + 1;
    reach_->by[to] = graph[arc].pin;
    reach_->before[to] = from;
  }

 private:
  Reach* reach_;
};

}  // namespace

struct SignalGraph {
  std::size_t part_count = 0;
  Graph graph;
};

Machine::Data::Data() = default;
Machine::Data::~Data() = default;

void Machine::Data::index_signals() {
  auto made = std::make_unique<SignalGraph>();
  made->part_count = parts.size();
  std::vector<std::pair<std::size_t, std::size_t>> arcs;
  std::vector<ArcPin> arc_pins;
  for (std::size_t i = 0; i < pins.size(); ++i) {
    const NetId net = pins[i].net;
    const parts::PinRole role = pin_type(PinId(i)).role;
    if (!net.known() || nets[net.index()].kind != NetKind::signal || !carries_signals(role)) continue;
    const std::size_t part = pins[i].part.index(), wire = parts.size() + net.index();
    if (!parts[part].fitted) continue;
    if (gives(role)) { arcs.emplace_back(part, wire); arc_pins.push_back({PinId(i)}); }
    if (takes(role)) { arcs.emplace_back(wire, part); arc_pins.push_back({PinId(i)}); }
  }
  made->graph = Graph(boost::edges_are_unsorted_multi_pass, arcs.begin(), arcs.end(), arc_pins.begin(), parts.size() + nets.size());
  signals = std::move(made);
}

std::vector<PinId> Machine::path(PartId from, PinId to) const {
  const Graph& graph = data_->signals->graph;
  const Vertex start = from.index(), own_part = pin(to).part.index();
  if (pin(to).part == from) return {to};
  if (!pin(to).net.known()) return {};
  Reach reach{std::vector<std::size_t>(num_vertices(graph), kFar), std::vector<PinId>(num_vertices(graph)), std::vector<Vertex>(num_vertices(graph), start)};
  reach.distance[start] = 0;
  boost::breadth_first_search(graph, start, boost::visitor(Recorder(reach)));
  const Vertex own_net = data_->signals->part_count + pin(to).net.index();
  const parts::PinRole role = pin_type(to).role;
  const std::size_t through_net = takes(role) ? reach.distance[own_net] : kFar;
  const std::size_t through_part = gives(role) ? reach.distance[own_part] : kFar;
  if (std::min(through_net, through_part) == kFar) return {};
  std::vector<PinId> walked{to};
  for (Vertex at = through_net <= through_part ? own_net : own_part; at != start; at = reach.before[at]) walked.push_back(reach.by[at]);
  std::reverse(walked.begin(), walked.end());
  if (walked.size() > 1 && walked[walked.size() - 2] == to) walked.pop_back();
  return walked;
}

}  // namespace halfsplit::board
