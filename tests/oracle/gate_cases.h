// oracle/gate_cases.h - seeded random cases for infer and check: a network, vectors, priors, a hidden truth and doubtful readings of it.
#pragma once
#include <cmath>
#include <cstdlib>
#include <memory>
#include <set>

#include "oracle/gate_predictor.h"

namespace oracle {

struct Case {
  std::unique_ptr<GatePredictor> predictor;
  fault::PriorOdds priors;
  fault::Hypothesis truth;
  std::vector<fault::Evidence> evidence;
};

struct CaseShape {
  std::size_t gates = 5, inputs = 3, vectors = 2, truth_faults = 1, readings = 6;
  GatePredictor::Modes modes;
  double doubt = 0.05;       ///< of every reading; half of the time smaller
  double mean_log_odds = -4;
};

inline Case make_case(std::uint64_t seed, const CaseShape& shape) {
  halfsplit::Random random(seed);
  Case made;
  std::vector<std::vector<bool>> vectors(shape.vectors);
  GateNetwork network = GateNetwork::random(shape.inputs, shape.gates, random);
  for (auto& vector : vectors) {
    for (std::size_t i = 0; i < shape.inputs; ++i) vector.push_back(random.chance(0.5));
  }
  made.predictor = std::make_unique<GatePredictor>(std::move(network), std::move(vectors), shape.modes);
  const fault::Catalogue& catalogue = made.predictor->catalogue();
  for (std::size_t i = 0; i < catalogue.size(); ++i) made.priors.log_odds.push_back(shape.mean_log_odds + random.normal());
  made.priors.log_outside = -6;
  while (made.truth.size() < shape.truth_faults) {
    const fault::FaultId extra(random.below(catalogue.size()));
    bool free = true;
    for (const fault::FaultId member : made.truth) free = free && !(catalogue.fault(member).site == catalogue.fault(extra).site);
    if (free) made.truth = made.truth.with(extra);
  }
  const std::vector<fault::Query> all = made.predictor->queries({}, {observe::Kind::probe, observe::Kind::triggered});
  for (std::size_t i = 0; i < shape.readings; ++i) {
    fault::Evidence piece;
    piece.query = all[random.below(all.size())];
    piece.doubt = random.chance(0.5) ? shape.doubt : shape.doubt / 10;
    piece.event = i;
    piece.value.word = made.predictor->seen(made.truth, piece.query, random);
    if (random.chance(piece.doubt)) piece.value.word = random.chance(0.5) ? observe::Word::low : observe::Word::high;
    made.evidence.push_back(piece);
  }
  return made;
}

/// How many seeded cases a test runs; HALFSPLIT_CASES changes it for longer runs.
inline std::uint64_t case_count(std::uint64_t usual) {
  const char* wanted = std::getenv("HALFSPLIT_CASES");
  return wanted ? std::strtoull(wanted, nullptr, 10) : usual;
}

}  // namespace oracle
