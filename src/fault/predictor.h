// fault/predictor.h - the one interface that answers "what would be observed there, under this setup, if these faults were present?"
//
// Shape:    four calls, const, batch first, with a step budget (one step = one hypothesis simulated in one setup).
// Owns:     nothing of the caller's; hypotheses are ids of the catalogue the predictor was made with.
// Errors:   "no prediction" is a value (Outcome::none), a spent budget is answered by nothing for the rest.
// Start at: Predictor::score(), Predictor::outcomes().
#pragma once
#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/budget.h"
#include "board/setup.h"
#include "fault/fault.h"
#include "observe/observation.h"

namespace halfsplit::fault {

/// What is asked: a point, a kind of look, and for triggered looks the bus cycle.
struct Query {
  board::Setup setup;
  observe::Point point;
  observe::Kind kind = observe::Kind::probe;
  std::string cycle;
  std::optional<observe::Point> beside = {};  ///< the reading compares with this point of the same machine
  friend auto operator<=>(const Query&, const Query&) = default;
  friend bool operator==(const Query&, const Query&) = default;
};

/// An observation made ready for scoring.
struct Evidence {
  Query query;
  observe::Value value;
  double doubt = 0.02;          ///< chance that the reading itself is wrong (misread, wrong pin, slipped tip)
  observe::Share share;
  std::size_t event = 0;        ///< index of the observation it came from
  std::optional<observe::Value> good = {};  ///< what a good machine of this model showed there
};

/// A set-up together with points whose values are taken as given (hard readings): faults do not act through them.
struct Frame {
  board::Setup setup;
  std::vector<std::pair<observe::Point, observe::Value>> pinned;
  friend bool operator==(const Frame&, const Frame&) = default;
};

/// Prediction for one query under one hypothesis: a distribution over words, a number with spread, which bits are told failing, or nothing.
struct Outcome {
  enum class Form : std::uint8_t { none, words, number, bits };
  Form form = Form::none;
  /// form words: probability of each observe::Word (index = enumerator), sums to 1.
  std::array<float, 24> p{};
  /// form number: mixture of up to three spreads (a live line reads anything between its levels).
  struct Part { float weight = 0, mean = 0, deviation = 0; };
  std::array<Part, 3> parts{};
  observe::Unit unit = observe::Unit::none;
  /// form bits: p[0..width-1] is each bit's chance to be told failing, where a report comes and shows the fault; about a half = not known, and
  /// then what is failing among such bits is none, one, all or any pattern, a quarter each.
  std::uint8_t width = 0;
  float no_report = 0;          ///< form bits: chance that the machine gives no report at all
  float missed = 0;             ///< form bits: chance that a report doesn't show the fault: all bits right
};
/// The prediction once a reading of the same point in the same set-up is known. What a hypothesis leaves open is one thing on one machine (a level that
/// may be low or high stays what it is), so reading again repeats it; only misreadings are independent.
Outcome narrowed(const Outcome& outcome, const Evidence& reading);
/// Chance that a report with these failing bits comes (form bits).
double bits_probability(std::uint32_t failing, const Outcome& outcome);
/// Chance of one sample: this wanted, that got (form bits).
double sample_probability(std::uint32_t wanted, std::uint32_t got, const Outcome& outcome);
/// Chance that a good bit is told failing.
inline constexpr float kToldWrongly = 0.004f;
/// The pattern that is told most probably where a report comes and shows the fault.
std::uint32_t likeliest_bits(const Outcome& outcome);
/// Rows = hypotheses, columns = queries.
struct OutcomeTable {
  std::size_t rows = 0, columns = 0;
  std::vector<Outcome> cells;
  const Outcome& at(std::size_t row, std::size_t column) const { return cells[row * columns + column]; }
};
/// log P(value | outcome), doubt not yet mixed in; `log_uniform` (the answer of "anything") when there is no prediction.
double log_likelihood(const observe::Value& value, const Outcome& outcome, observe::Kind kind);
/// log P(value) when the reading is wrong: uniform over the words of the kind, broad over its numbers.
double log_misread(const observe::Value& value, observe::Kind kind);

/// How much each kind of evidence shows of each group of modes: from the knowledge base, handed in by the application.
struct Sensitivity { double hit = 0.9; double false_alarm = 0.05; };
class EvidenceTable {
 public:
  virtual ~EvidenceTable() = default;
  /// Chance that this kind of look points at a part with a fault of this mode group, and at a good part.
  virtual Sensitivity sensitivity(observe::Kind kind, const std::string& mode_group) const = 0;
};

class Predictor {
 public:
  virtual ~Predictor() = default;
  virtual const board::Machine& machine() const = 0;
  virtual const Catalogue& catalogue() const = 0;

  /// log P(evidence | hypothesis), one per hypothesis, all evidence of any setup; doubt mixed in per reading: log((1-e) p + e m).
  /// A point read again in the same set-up is scored given the earlier readings of it (narrowed()).
  /// An unlisted part is scored jointly: its own observed pins cost their set once per pin, nets downstream of an observed pin nothing more.
  virtual std::vector<double> score(const std::vector<Hypothesis>& hypotheses, const std::vector<Evidence>& evidence, StepBudget& budget) const = 0;
  /// Per hypothesis and piece of evidence: log((1-e) p + e m). For explanations and search; same numbers as score() where no unlisted part is in the hypothesis.
  virtual std::vector<std::vector<double>> score_each(const std::vector<Hypothesis>& hypotheses, const std::vector<Evidence>& evidence, StepBudget& budget) const = 0;
  /// For ranked leaves only.
  virtual OutcomeTable outcomes(const std::vector<Hypothesis>& hypotheses, const std::vector<Query>& queries, StepBudget& budget) const = 0;
  /// Faults that can change the query: a proven superset, sorted.
  virtual std::vector<FaultId> reach(const Query& query) const = 0;
  /// Whether two looks see one thing (looks of one kind at one net in one set-up): where a hypothesis predicts the same for both, what it leaves open is
  /// the same too.
  virtual bool same_thing(const Query& a, const Query& b) const { return a == b; }
  /// Per query a number: queries with one number are predicted the same under each of the hypotheses (all of one kind, in one set-up). For a plan that
  /// weighs thousands of points; a predictor that can't tell cheaply gives each its own.
  virtual std::vector<std::uint32_t> alike(const std::vector<Hypothesis>& hypotheses, const std::vector<Query>& queries) const {
    std::vector<std::uint32_t> out(queries.size());
    for (std::uint32_t i = 0; i < out.size(); ++i) out[i] = i;
    return hypotheses.empty() ? std::vector<std::uint32_t>(queries.size(), 0) : out;
  }
  /// Walks of the tip round a part: its legs in the order of their numbers, one walk a kind, triggered looks one a bus cycle.
  virtual std::vector<std::vector<Query>> walks(const board::Setup&, const std::vector<observe::Kind>&, board::PartId) const { return {}; }
  /// Queries worth asking in a setup: every point and kind this predictor can tell about with the named instruments.
  virtual std::vector<Query> queries(const board::Setup& setup, const std::vector<observe::Kind>& kinds) const = 0;
};

}  // namespace halfsplit::fault
