// oracle/gate_predictor.h - a small fault::Predictor over a gate network: stuck outputs, open inputs, unlisted behaviour; probe and triggered looks.
//
// Idea:     an unlisted gate shows any value in any vector; its likelihood is the exact mean over all such courses (2^vectors each).
// Shape:    node i is PinId(i); vector v is the cycle "v<v>"; probe = union over the vectors (low, high, pulsing).
// Start at: GatePredictor.
#pragma once
#include <array>
#include <cmath>
#include <memory>
#include <utility>

#include "base/require.h"
#include "fault/predictor.h"
#include "fault/prior.h"
#include "oracle/gate_network.h"

namespace oracle {

namespace fault = halfsplit::fault;
namespace observe = halfsplit::observe;
namespace board = halfsplit::board;

class GatePredictor : public fault::Predictor {
 public:
  struct Modes { bool joints = true, unlisted = true; };
  GatePredictor(GateNetwork network, std::vector<std::vector<bool>> vectors, Modes modes)
      : network_(std::move(network)), vectors_(std::move(vectors)), catalogue_(list(modes)) {
    cones_.resize(network_.nodes.size());
  }

  const board::Machine& machine() const override { halfsplit::promise_broken("machine()", "a gate network has no machine", __FILE__, __LINE__); }
  const fault::Catalogue& catalogue() const override { return catalogue_; }
  const GateNetwork& network() const { return network_; }
  std::size_t vector_count() const { return vectors_.size(); }

  std::vector<double> score(const std::vector<fault::Hypothesis>& hypotheses, const std::vector<fault::Evidence>& evidence, halfsplit::StepBudget& budget) const override {
    std::vector<double> out;
    const std::vector<Chances> chances = chances_of(evidence);
    run(hypotheses, budget, [&](const Worlds& worlds) {
      double mean = 0;
      for (std::size_t world = 0; world < worlds.count; ++world) {
        double sum = 0;
        for (std::size_t e = 0; e < evidence.size(); ++e) sum += chances[e].log_p[place(word(evidence[e].query, worlds, world))];
        if (worlds.count == 1) out.push_back(sum);
        mean += std::exp(sum) / static_cast<double>(worlds.count);
      }
      if (worlds.count > 1) out.push_back(std::log(mean));
    });
    return out;
  }
  std::vector<std::vector<double>> score_each(const std::vector<fault::Hypothesis>& hypotheses, const std::vector<fault::Evidence>& evidence, halfsplit::StepBudget& budget) const override {
    std::vector<std::vector<double>> out;
    const std::vector<Chances> chances = chances_of(evidence);
    run(hypotheses, budget, [&](const Worlds& worlds) {
      std::vector<double>& row = out.emplace_back();
      row.reserve(evidence.size());
      for (std::size_t e = 0; e < evidence.size(); ++e) {
        if (worlds.count == 1) {
          row.push_back(chances[e].log_p[place(word(evidence[e].query, worlds, 0))]);
          continue;
        }
        double mean = 0;
        for (std::size_t world = 0; world < worlds.count; ++world) mean += std::exp(chances[e].log_p[place(word(evidence[e].query, worlds, world))]) / static_cast<double>(worlds.count);
        row.push_back(std::log(mean));
      }
    });
    return out;
  }
  fault::OutcomeTable outcomes(const std::vector<fault::Hypothesis>& hypotheses, const std::vector<fault::Query>& queries, halfsplit::StepBudget& budget) const override {
    fault::OutcomeTable table;
    table.columns = queries.size();
    table.cells.reserve(hypotheses.size() * queries.size());
    run(hypotheses, budget, [&](const Worlds& worlds) {
      ++table.rows;
      for (const fault::Query& query : queries) {
        fault::Outcome& cell = table.cells.emplace_back();
        cell.form = fault::Outcome::Form::words;
        for (std::size_t world = 0; world < worlds.count; ++world) {
          cell.p[static_cast<std::size_t>(word(query, worlds, world))] += 1.0f / static_cast<float>(worlds.count);
        }
      }
    });
    return table;
  }
  std::vector<fault::FaultId> reach(const fault::Query& query) const override {
    std::vector<fault::FaultId>& out = cones_[query.point.pin.index()];
    if (!out.empty()) return out;
    for (const std::uint32_t node : network_.cone_into(query.point.pin.index())) {
      for (const fault::FaultId fault : at_node_[node]) out.push_back(fault);
    }
    std::sort(out.begin(), out.end());
    return out;
  }
  std::vector<fault::Query> queries(const board::Setup& setup, const std::vector<observe::Kind>& kinds) const override {
    std::vector<fault::Query> out;
    for (std::uint32_t node = 0; node < network_.nodes.size(); ++node) {
      if (network_.nodes[node].op == GateNetwork::Op::input) continue;
      for (const observe::Kind kind : kinds) {
        if (kind == observe::Kind::probe) out.push_back(query(node));
        if (kind != observe::Kind::triggered) continue;
        for (std::size_t v = 0; v < vectors_.size(); ++v) out.push_back(query(node, v));
      }
    }
    for (fault::Query& one : out) one.setup = setup;
    return out;
  }

  static fault::Query query(std::uint32_t node) {
    fault::Query out;
    out.point.at = observe::Point::At::leg;
    out.point.pin = board::PinId(node);
    return out;
  }
  static fault::Query query(std::uint32_t node, std::size_t vector) {
    fault::Query out = query(node);
    out.kind = observe::Kind::triggered;
    out.cycle = "v" + std::to_string(vector);
    return out;
  }
  /// What one world drawn at random shows there.
  observe::Word seen(const fault::Hypothesis& hypothesis, const fault::Query& query, halfsplit::Random& random) const {
    observe::Word out{};
    halfsplit::StepBudget budget(1);
    run({hypothesis}, budget, [&](const Worlds& worlds) { out = word(query, worlds, random.below(worlds.count)); });
    return out;
  }

 private:
  struct Worlds {
    std::size_t count = 0;
    std::vector<std::vector<Lanes>> lanes;  ///< [block of 64][vector]
    std::size_t first = 0;                  ///< lane of the first world
  };

  fault::Catalogue list(Modes modes) {
    std::vector<fault::Fault> faults;
    std::vector<fault::SiteId> sites;
    std::vector<std::string> names;
    at_node_.resize(network_.nodes.size());
    for (std::uint32_t node = 0; node < network_.nodes.size(); ++node) {
      if (network_.nodes[node].op == GateNetwork::Op::input) continue;
      const fault::SiteId site(names.size());
      names.push_back(network_.nodes[node].name);
      const auto add = [&](const char* mode, halfsplit::parts::Effect effect, fault::Site::Kind kind, std::uint32_t input) {
        fault::Fault fault;
        fault.site.kind = kind;
        fault.site.pin = board::PinId(node);
        if (kind == fault::Site::Kind::joint) fault.site.other = board::PinId(input);
        fault.mode = mode;
        fault.effect = effect;
        fault.element = static_cast<std::uint16_t>(input);
        at_node_[node].emplace_back(faults.size());
        faults.push_back(fault);
        sites.push_back(site);
        node_of_.push_back(node);
      };
      using halfsplit::parts::Effect;
      add("output-stuck-low", Effect::stuck_low, fault::Site::Kind::part, 0);
      add("output-stuck-high", Effect::stuck_high, fault::Site::Kind::part, 0);
      if (modes.unlisted) add("unlisted", Effect::unlisted, fault::Site::Kind::part, 0);
      for (std::uint32_t input = 0; modes.joints && input < network_.nodes[node].from.size(); ++input) add("joint-open", Effect::open, fault::Site::Kind::joint, input);
    }
    return fault::Catalogue::of(std::move(faults), std::move(sites), std::move(names));
  }

  /// Calls `use` once per hypothesis, in order, until the budget is spent. Hypotheses of one world each share words of 64 lanes.
  template <class Use>
  void run(const std::vector<fault::Hypothesis>& hypotheses, halfsplit::StepBudget& budget, Use use) const {
    for (std::size_t from = 0; from < hypotheses.size();) {
      std::size_t many = 0;
      while (from + many < hypotheses.size() && many < 64 && unlisted_in(hypotheses[from + many]) == 0) ++many;
      const std::size_t take = std::max<std::size_t>(many, 1);
      std::vector<std::vector<std::vector<Force>>> worlds(vectors_.size());  // [vector][world]
      std::size_t count = 1;
      for (std::size_t i = 0; i < take; ++i) count = add_worlds(hypotheses[from + i], worlds);
      Worlds made;
      for (std::size_t block = 0; block * 64 < worlds[0].size(); ++block) {
        std::vector<Lanes>& lanes = made.lanes.emplace_back();
        for (std::size_t v = 0; v < vectors_.size(); ++v) {
          const auto first = worlds[v].begin() + static_cast<std::ptrdiff_t>(block * 64);
          const auto last = worlds[v].size() - block * 64 > 64 ? first + 64 : worlds[v].end();
          lanes.emplace_back(network_, vectors_[v], std::vector<std::vector<Force>>(first, last));
        }
      }
      made.count = count;
      for (std::size_t i = 0; i < take; ++i) {
        if (!budget.take()) return;
        made.first = many > 0 ? i : 0;
        use(made);
      }
      from += take;
    }
  }
  std::size_t unlisted_in(const fault::Hypothesis& hypothesis) const {
    return static_cast<std::size_t>(std::count_if(hypothesis.begin(), hypothesis.end(), [&](fault::FaultId id) { return catalogue_.fault(id).effect == halfsplit::parts::Effect::unlisted; }));
  }
  /// Appends the worlds of one hypothesis for every vector; their number.
  std::size_t add_worlds(const fault::Hypothesis& hypothesis, std::vector<std::vector<std::vector<Force>>>& worlds) const {
    const std::size_t bits = unlisted_in(hypothesis) * vectors_.size();
    HS_REQUIRE(bits <= 16, "too many unlisted gates and vectors for an exact mean");
    for (std::size_t course = 0; course < (std::size_t{1} << bits); ++course) {
      for (std::size_t v = 0; v < vectors_.size(); ++v) {
        std::vector<Force>& forces = worlds[v].emplace_back();
        std::size_t bit = v;
        for (const fault::FaultId id : hypothesis) {
          const fault::Fault& fault = catalogue_.fault(id);
          const std::uint32_t node = node_of_[id.index()];
          switch (fault.effect) {
            case halfsplit::parts::Effect::stuck_low: forces.push_back({node, Force::kOutput, false}); break;
            case halfsplit::parts::Effect::stuck_high: forces.push_back({node, Force::kOutput, true}); break;
            case halfsplit::parts::Effect::open: forces.push_back({node, fault.element, true}); break;
            default: forces.push_back({node, Force::kOutput, (course >> bit & 1) != 0}); bit += vectors_.size(); break;
          }
        }
      }
    }
    return std::size_t{1} << bits;
  }
  observe::Word word(const fault::Query& query, const Worlds& worlds, std::size_t world) const {
    const std::size_t lane = worlds.first + world;
    const std::vector<Lanes>& lanes = worlds.lanes[lane / 64];
    const std::uint32_t node = query.point.pin.index();
    if (query.kind == observe::Kind::triggered) {
      const std::size_t v = std::stoul(query.cycle.substr(1));
      return lanes[v].value(node, lane % 64) ? observe::Word::high : observe::Word::low;
    }
    bool low = false, high = false;
    for (const Lanes& one : lanes) (one.value(node, lane % 64) ? high : low) = true;
    return low && high ? observe::Word::pulsing : high ? observe::Word::high : observe::Word::low;
  }
  /// log((1-e) p + e m) of one piece for each word a network can show: low, high, pulsing.
  struct Chances { std::array<double, 3> log_p{}; };
  static std::size_t place(observe::Word word) { return word == observe::Word::low ? 0 : word == observe::Word::high ? 1 : 2; }
  static std::vector<Chances> chances_of(const std::vector<fault::Evidence>& evidence) {
    std::vector<Chances> out;
    for (const fault::Evidence& piece : evidence) {
      Chances& chances = out.emplace_back();
      for (const observe::Word shown : {observe::Word::low, observe::Word::high, observe::Word::pulsing}) {
        fault::Outcome outcome;
        outcome.form = fault::Outcome::Form::words;
        outcome.p[static_cast<std::size_t>(shown)] = 1;
        const double right = std::exp(fault::log_likelihood(piece.value, outcome, piece.query.kind));
        const double wrong = std::exp(fault::log_misread(piece.value, piece.query.kind));
        chances.log_p[place(shown)] = std::log((1 - piece.doubt) * right + piece.doubt * wrong);
      }
    }
    return out;
  }

  GateNetwork network_;
  std::vector<std::vector<bool>> vectors_;
  std::vector<std::vector<fault::FaultId>> at_node_;
  std::vector<std::uint32_t> node_of_;
  fault::Catalogue catalogue_;
  mutable std::vector<std::vector<fault::FaultId>> cones_;
};

}  // namespace oracle
