// oracle/gate_network.h - combinational networks of gates, random or read from a .bench text, simulated 64 worlds at a time.
//
// Shape:    nodes in topological order; inputs first as written; a world = values forced on some nodes or on single inputs of gates.
// Start at: GateNetwork, Lanes.
#pragma once
#include <algorithm>
#include <cstdint>
#include <istream>
#include <map>
#include <string>
#include <vector>

#include "base/random.h"

namespace oracle {

struct GateNetwork {
  enum class Op : std::uint8_t { input, buffer, negate, conjunction, not_conjunction, disjunction, not_disjunction, exclusive, not_exclusive };
  struct Node {
    Op op = Op::input;
    std::string name;
    std::vector<std::uint32_t> from;
  };
  std::vector<Node> nodes;
  std::vector<std::uint32_t> inputs, outputs;

  /// `from` of every gate are earlier nodes, most of them recent ones; nodes that nobody reads are outputs.
  static GateNetwork random(std::size_t input_count, std::size_t gate_count, halfsplit::Random& random) {
    GateNetwork made;
    for (std::size_t i = 0; i < input_count + gate_count; ++i) {
      Node node;
      node.name = (i < input_count ? "I" : "G") + std::to_string(i);
      if (i < input_count) {
        made.inputs.push_back(static_cast<std::uint32_t>(i));
      } else {
        node.op = static_cast<Op>(1 + random.below(8));
        const std::size_t count = node.op == Op::buffer || node.op == Op::negate ? 1 : 2;
        while (node.from.size() < count) {
          const auto from = static_cast<std::uint32_t>(i - 1 - random.below(std::min<std::size_t>(i, 5)));
          if (node.from.empty() || node.from[0] != from) node.from.push_back(from);
        }
      }
      made.nodes.push_back(std::move(node));
    }
    std::vector<bool> read(made.nodes.size());
    for (const Node& node : made.nodes) {
      for (const std::uint32_t from : node.from) read[from] = true;
    }
    for (std::size_t i = input_count; i < made.nodes.size(); ++i) {
      if (!read[i]) made.outputs.push_back(static_cast<std::uint32_t>(i));
    }
    return made;
  }

  /// INPUT(a), OUTPUT(a), a = NAND(b, c); in any order. Empty when a line can't be read.
  static GateNetwork read(std::istream& text);

  /// Every node whose value can depend on the given one, itself included.
  std::vector<std::uint32_t> cone_into(std::uint32_t node) const {
    std::vector<bool> in(node + 1);
    in[node] = true;
    std::vector<std::uint32_t> out;
    for (std::size_t i = node + 1; i-- > 0;) {
      if (!in[i]) continue;
      out.push_back(static_cast<std::uint32_t>(i));
      for (const std::uint32_t from : nodes[i].from) in[from] = true;
    }
    std::reverse(out.begin(), out.end());
    return out;
  }
};

/// A value forced in one world; `input` counts the gate's inputs, kOutput means its output.
struct Force {
  static constexpr std::uint32_t kOutput = 0xffffffff;
  std::uint32_t node = 0;
  std::uint32_t input = kOutput;
  bool value = false;
};

/// Values of all nodes in up to 64 worlds under one input vector.
class Lanes {
 public:
  Lanes(const GateNetwork& network, const std::vector<bool>& vector, const std::vector<std::vector<Force>>& worlds) : values_(network.nodes.size()) {
    struct Mask { std::uint64_t high = 0, low = 0; };
    std::map<std::uint64_t, Mask> masks;
    std::vector<std::uint8_t> forced(network.nodes.size());
    for (std::size_t lane = 0; lane < worlds.size(); ++lane) {
      for (const Force& force : worlds[lane]) {
        Mask& mask = masks[std::uint64_t{force.node} << 32 | force.input];
        (force.value ? mask.high : mask.low) |= std::uint64_t{1} << lane;
        forced[force.node] = 1;
      }
    }
    std::size_t next_input = 0;
    for (std::uint32_t i = 0; i < network.nodes.size(); ++i) {
      const GateNetwork::Node& node = network.nodes[i];
      const auto seen = [&](std::size_t pin) {
        std::uint64_t value = values_[node.from[pin]];
        if (!forced[i]) return value;
        const auto mask = masks.find(std::uint64_t{i} << 32 | pin);
        return mask == masks.end() ? value : (value | mask->second.high) & ~mask->second.low;
      };
      std::uint64_t value = 0;
      if (node.op == GateNetwork::Op::input) {
        value = vector[next_input++] ? ~std::uint64_t{0} : 0;
      } else {
        value = seen(0);
        for (std::size_t pin = 1; pin < node.from.size(); ++pin) value = join(node.op, value, seen(pin));
        if (inverts(node.op)) value = ~value;
      }
      if (forced[i]) {
        const auto mask = masks.find(std::uint64_t{i} << 32 | Force::kOutput);
        if (mask != masks.end()) value = (value | mask->second.high) & ~mask->second.low;
      }
      values_[i] = value;
    }
  }
  bool value(std::uint32_t node, std::size_t lane) const { return (values_[node] >> lane & 1) != 0; }

 private:
  using Op = GateNetwork::Op;
  static std::uint64_t join(Op op, std::uint64_t a, std::uint64_t b) {
    switch (op) {
      case Op::conjunction: case Op::not_conjunction: return a & b;
      case Op::disjunction: case Op::not_disjunction: return a | b;
      default: return a ^ b;
    }
  }
  static bool inverts(Op op) { return op == Op::negate || op == Op::not_conjunction || op == Op::not_disjunction || op == Op::not_exclusive; }
  std::vector<std::uint64_t> values_;
};

inline GateNetwork GateNetwork::read(std::istream& text) {
  std::map<std::string, Node> gates;
  std::vector<std::string> input_names, output_names;
  const auto names_in = [](const std::string& list) {
    std::vector<std::string> out(1);
    for (const char c : list) {
      if (c == ',') out.emplace_back();
      else if (c != ' ' && c != '\t' && c != '\r') out.back() += c;
    }
    return out;
  };
  const std::map<std::string, Op> ops = {{"BUFF", Op::buffer}, {"BUF", Op::buffer}, {"NOT", Op::negate}, {"AND", Op::conjunction}, {"NAND", Op::not_conjunction},
                                         {"OR", Op::disjunction}, {"NOR", Op::not_disjunction}, {"XOR", Op::exclusive}, {"XNOR", Op::not_exclusive}};
  std::map<std::string, std::vector<std::string>> wants;
  for (std::string line; std::getline(text, line);) {
    line = line.substr(0, line.find('#'));
    const auto open = line.find('('), shut = line.rfind(')'), equal = line.find('=');
    if (open == std::string::npos || shut == std::string::npos) continue;
    const std::vector<std::string> inside = names_in(line.substr(open + 1, shut - open - 1));
    if (equal == std::string::npos) {
      (line.find("INPUT") < open ? input_names : output_names).push_back(inside[0]);
      continue;
    }
    std::string word = names_in(line.substr(equal + 1, open - equal - 1))[0];
    std::transform(word.begin(), word.end(), word.begin(), [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    const auto op = ops.find(word);
    if (op == ops.end()) return {};
    const std::string name = names_in(line.substr(0, equal))[0];
    gates[name].op = op->second;
    wants[name] = inside;
  }
  GateNetwork made;
  std::map<std::string, std::uint32_t> number;
  for (const std::string& name : input_names) {
    number[name] = static_cast<std::uint32_t>(made.nodes.size());
    made.inputs.push_back(number[name]);
    made.nodes.push_back({Op::input, name, {}});
  }
  for (bool moved = true; moved;) {
    moved = false;
    for (auto& [name, node] : gates) {
      if (number.count(name) != 0) continue;
      const auto& from = wants[name];
      if (!std::all_of(from.begin(), from.end(), [&](const std::string& f) { return number.count(f) != 0; })) continue;
      for (const std::string& f : from) node.from.push_back(number[f]);
      node.name = name;
      number[name] = static_cast<std::uint32_t>(made.nodes.size());
      made.nodes.push_back(node);
      moved = true;
    }
  }
  for (const std::string& name : output_names) {
    if (number.count(name) == 0) return {};
    made.outputs.push_back(number[name]);
  }
  return made;
}

}  // namespace oracle
