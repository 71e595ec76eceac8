// Breadth-first search (Moore 1959) over a directed graph of parts, their two-ended elements, and nets. An arc part -> net is a pin that can drive,
// net -> part one that listens; an element is passed from end to end, both ways. A part whose pins are only joined by elements, or by nothing (a
// header), can be the start of a path but isn't passed as a whole. Cost: O(pins) a query; the graph is laid down once per machine.
#include <boost/graph/breadth_first_search.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>

#include <algorithm>
#include <limits>

#include "board/machine_data.h"
#include "parts/element.h"

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

namespace {

/// Passive pins that behave as part of the whole: those of transistors, regulators and other blocks without two ends.
std::vector<bool> core_pins(const parts::PartType& type) {
  std::vector<bool> core(type.pins.size(), false);
  for (const parts::Block& block : type.blocks) {
    if (parts::is_element(block.kind)) continue;
    for (const auto& [name, pins] : block.ports)
      for (const std::uint16_t pin : pins) core[pin] = true;
    for (const auto& [name, terms] : block.terms)
      for (const parts::Expression& term : terms)
        for (const auto& node : term.nodes)
          if (node.op == parts::Expression::Op::pin) core[node.pin] = true;
  }
  return core;
}

/// Lays down the arcs of one machine.
class Layer {
 public:
  explicit Layer(const Machine::Data& data) : data_(data), vertices_(data.parts.size() + data.nets.size()) {
    for (std::size_t i = 0; i < data.parts.size(); ++i)
      if (data.parts[i].fitted) add_part(i);
  }
  Graph graph() const { return Graph(boost::edges_are_unsorted_multi_pass, arcs_.begin(), arcs_.end(), pins_.begin(), vertices_); }

 private:
  void add_part(std::size_t index) {
    const Part& part = data_.parts[index];
    const std::vector<bool> core = core_pins(*part.type);
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const PinId pin(part.first_pin.index() + i);
      const parts::PinRole role = part.type->pins[i].role;
      const auto net = net_vertex(pin);
      if (!net || !carries_signals(role)) continue;
      if (gives(role)) add(index, *net, pin);
      if (takes(role) && (role != parts::PinRole::passive || core[i])) add(*net, index, pin);
    }
    for (const parts::Element& element : parts::elements(*part.type)) add_element(part, element);
  }

  void add_element(const Part& part, const parts::Element& element) {
    const PinId a(part.first_pin.index() + element.a), b(part.first_pin.index() + element.b);
    const auto net_a = net_vertex(a), net_b = net_vertex(b);
    if (!net_a || !net_b) return;
    const std::size_t vertex = vertices_++;
    add(*net_a, vertex, a);
    add(vertex, *net_b, b);
    add(*net_b, vertex, b);
    add(vertex, *net_a, a);
  }

  /// Vertex of the signal net a pin is on.
  std::optional<std::size_t> net_vertex(PinId pin) const {
    const NetId net = data_.pins[pin.index()].net;
    if (!net.known() || data_.nets[net.index()].kind != NetKind::signal) return std::nullopt;
    return data_.parts.size() + net.index();
  }

  void add(std::size_t from, std::size_t to, PinId pin) {
    arcs_.emplace_back(from, to);
    pins_.push_back({pin});
  }

  const Machine::Data& data_;
  std::size_t vertices_;
  std::vector<std::pair<std::size_t, std::size_t>> arcs_;
  std::vector<ArcPin> pins_;
};

}  // namespace

void Machine::Data::index_signals() { signals = std::make_unique<SignalGraph>(SignalGraph{parts.size(), Layer(*this).graph()}); }

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
