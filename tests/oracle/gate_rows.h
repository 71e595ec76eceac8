// oracle/gate_rows.h - plain networks and readings for tests that are worked by hand.
#pragma once
#include "oracle/gate_predictor.h"

namespace oracle {

/// `length` inverters one after the other, G0 reads the input; with the input low G0 is high, G1 low, and so on. Node of G<i> is i + 1.
inline GatePredictor inverter_row(std::size_t length, GatePredictor::Modes modes = {false, false}) {
  GateNetwork network;
  network.nodes.push_back({GateNetwork::Op::input, "I", {}});
  network.inputs = {0};
  for (std::uint32_t i = 0; i < length; ++i) network.nodes.push_back({GateNetwork::Op::negate, "G" + std::to_string(i), {i}});
  network.outputs = {static_cast<std::uint32_t>(length)};
  return GatePredictor(network, {{false}, {true}}, modes);
}

/// Two rows of inverters beside each other: A0.. from node 2, B0.. after them; they share nothing.
inline GatePredictor two_rows(std::uint32_t length) {
  GateNetwork network;
  network.nodes = {{GateNetwork::Op::input, "I", {}}, {GateNetwork::Op::input, "J", {}}};
  network.inputs = {0, 1};
  for (std::uint32_t row = 0; row < 2; ++row) {
    for (std::uint32_t i = 0; i < length; ++i) {
      const std::uint32_t from = i == 0 ? row : static_cast<std::uint32_t>(network.nodes.size() - 1);
      network.nodes.push_back({GateNetwork::Op::negate, (row == 0 ? "A" : "B") + std::to_string(i), {from}});
    }
    network.outputs.push_back(static_cast<std::uint32_t>(network.nodes.size() - 1));
  }
  return GatePredictor(network, {{false, false}, {true, true}}, {false, false});
}

inline fault::Evidence reading(const fault::Query& query, observe::Word word, double doubt = 0.01) {
  fault::Evidence out;
  out.query = query;
  out.value.word = word;
  out.doubt = doubt;
  return out;
}

inline fault::PriorOdds even_priors(const fault::Predictor& predictor, double odds, double outside = 1e-9) {
  fault::PriorOdds out;
  out.log_odds.assign(predictor.catalogue().size(), std::log(odds));
  out.log_outside = std::log(outside);
  return out;
}

}  // namespace oracle
