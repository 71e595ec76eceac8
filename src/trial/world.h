// trial/world.h - a hidden machine that answers readings: the home world draws them from the model, the foreign world from another drawing, with an
// error model of its own.
//
// Idea:     an engine that is scored on answers from its own simulator looks perfect; so the truth may be another machine (another drawing of it), may
//           hold a mode the model lacks, and its readings pass through wrong pins, slipped tips and misreadings.
// Owns:     nothing; predictor and machines must live longer. One World hides one set of faults.
// Rules:    nothing in infer, plan or predict may know of this.
// Start at: World::answer().
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/random.h"
#include "fault/predictor.h"

namespace halfsplit::trial {

/// How readings go wrong on the way from the board to the paper.
struct ReadingErrors {
  double misread = 0.02;        ///< another value of the kind is written down
  double neighbour = 0;         ///< the tip sat on the neighbouring pin of the part
  double wrong_pin = 0;         ///< the pin was miscounted: any other of the part
  double slipped = 0;           ///< the tip touched nothing
  double unit = 0;              ///< a number was written with the wrong unit: a thousand times too much or too little
};
/// How the hidden machine and the meter differ from what the model takes for granted.
struct Specimen {
  double duty = 1;              ///< share of the readings in which the fault is there; what the owner tells of functions is what brought the machine in
  double spread = 1;            ///< factor on every spread of a number
  bool heavy_tails = false;     ///< numbers spread as Student's t with 4 degrees of freedom instead of normally
};

class World {
 public:
  /// `truth` answers for the hidden machine; queries name points of `model` and are carried over by part reference and pin number.
  World(const board::Machine& model, const fault::Predictor& truth, fault::Hypothesis hidden, ReadingErrors errors, std::uint64_t seed, Specimen specimen = {});

  /// What is read; nothing where the hidden machine has no such point or no prediction.
  std::optional<observe::Value> answer(const fault::Query& query);
  /// Readings so far that were falsified.
  std::size_t wrong_readings() const { return wrong_; }

 private:
  std::optional<fault::Query> carried_over(const fault::Query& query) const;
  std::string where(const fault::Query& query) const;
  observe::Value report(const fault::Outcome& outcome, Random& specimen);
  observe::Value number(const fault::Outcome& outcome, Random& specimen);
  std::optional<observe::Value> word(const fault::Outcome& outcome, Random& specimen);
  bool tip_goes_astray(fault::Query& query);
  std::optional<board::PinId> pin_there(board::PinId pin) const;

  const board::Machine& model_;
  const fault::Predictor& truth_;
  fault::Hypothesis hidden_;
  ReadingErrors errors_;
  Specimen specimen_;
  std::uint64_t seed_;
  Random random_;
  std::size_t wrong_ = 0;
};

}  // namespace halfsplit::trial
