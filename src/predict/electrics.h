// predict/electrics.h - what a meter reads where circuit equations say it: volts of nets that no output drives, ohms, diode tests, supply current.
//
// Idea:     the activity engine says what the outputs of chips do, the electrical engine what follows from it. A meter shows the mean of an output that
//           moves: the circuit is solved with such outputs low and with them high, and the mean is taken behind whatever diodes lie between. A fault of a continuum is asked in three
//           strengths, a level that is left open in each of its states; the answer is a mixture of up to three spreads.
// Shape:    outcomes are interned: equal ones have one number, so that equal predictions can be told apart from different ones.
// Cost:     a hypothesis whose changes don't reach the point takes the healthy reading (about 1 us); others one to three solutions.
// Threads:  one a thread; answers are remembered.
// Start at: Electrics::answers(), Electrics::ask().
#pragma once
#include <array>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <tuple>
#include <vector>

#include "circuit/meter.h"
#include "fault/predictor.h"
#include "predict/answers.h"

namespace halfsplit::predict {

class Electrics {
 public:
  /// Both must live longer.
  Electrics(const fault::Catalogue& catalogue, const Answers& activity) : catalogue_(catalogue), activity_(activity) {}
  /// Whether the query is one for the electrical engine; where it isn't, other ways may know.
  bool answers(const fault::Query& query) const;
  /// out[c * queries.size() + k]: number of the outcome, for outcome(). `queries`: all of one set-up.
  std::vector<std::uint32_t> ask(const std::vector<Case>& cases, const std::vector<fault::Query>& queries) const;
  const fault::Outcome& outcome(std::uint32_t number) const { return outcomes_[number]; }
  /// Whether the fault may change what the query shows.
  bool touches(const fault::Fault& fault) const;
  /// Nets whose outputs feed the parts that this engine answers for.
  const std::vector<board::NetId>& feeding() const;
  /// Worth asking in a set-up, machine off: ohms across resistors, coils and fuses, diode tests.
  std::vector<fault::Query> offers(const board::Setup& setup, observe::Kind kind) const;
  /// What in the drawing keeps it from predicting.
  const std::vector<circuit::Trouble>& troubles() const { return meter(0).circuit().troubles; }

 private:
  struct Variant;
  struct Wanted { circuit::Tips tips; observe::Kind kind = observe::Kind::volts_dc; board::PartId supply; };
  const board::Machine& machine() const { return activity_.activity().machine(); }
  static constexpr std::size_t kPhases = 2;  ///< moving outputs low, moving outputs high
  circuit::Meter& meter(std::size_t phase) const;
  void prepare() const;
  std::vector<circuit::Reading> volts(const Variant& way, const board::Setup& setup, const std::vector<circuit::Tips>& tips) const;
  std::vector<circuit::Reading> phase_volts(std::size_t phase, const Variant& way, const board::Setup& setup, const std::vector<circuit::Tips>& tips) const;
  circuit::Reading level_volts(std::size_t phase, const circuit::Levels& levels, const board::Setup& setup, circuit::Tips tips) const;
  std::optional<Wanted> wanted(const fault::Query& query) const;
  bool by_circuit(board::NetId net) const;
  std::vector<Variant> variants(const Case& one, std::span<const std::uint8_t> seen) const;
  std::vector<fault::Outcome> solve(const Case& one, const board::Setup& setup, std::span<const std::uint8_t> seen, const std::vector<std::optional<Wanted>>& what) const;
  std::uint32_t intern(const fault::Outcome& outcome) const;

  const fault::Catalogue& catalogue_;
  const Answers& activity_;
  mutable std::array<std::unique_ptr<circuit::Meter>, kPhases> meter_;
  mutable circuit::Levels levels_;           ///< of the healthy machine
  mutable std::vector<board::NetId> feeding_;
  /// By phase, set-up, levels of the feeding nets and tips: most faults of logic differ in nothing else.
  mutable std::map<std::tuple<std::size_t, board::Setup, std::vector<circuit::Drive>, circuit::Tips>, circuit::Reading> by_levels_;
  mutable std::vector<fault::Outcome> outcomes_;
  mutable std::multimap<std::uint64_t, std::uint32_t> by_hash_;
  mutable std::map<fault::Query, std::uint32_t> query_number_;
  mutable std::map<std::pair<std::uint32_t, fault::Hypothesis>, std::uint32_t> known_;
};

}  // namespace halfsplit::predict
