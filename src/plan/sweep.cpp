#include "plan/sweep.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "base/text.h"
#include "observe/observation.h"

namespace halfsplit::plan {
namespace {

constexpr std::size_t kMostChips = 16;
constexpr std::size_t kLeastPins = 3;
constexpr std::size_t kMostPatterns = 32;
constexpr std::size_t kMostNamed = 4;
constexpr std::size_t kKept = 8;          ///< sweeps handed back
constexpr double kNextPin = 0.25;         ///< minutes, where no costs are given

struct Walk { std::vector<std::size_t> columns; };  ///< into the queries

/// The words of one pin's prediction with their chances; a prediction that is no set of words tells nothing here.
struct Shown { std::vector<std::pair<observe::Word, double>> words; observe::Word likeliest = observe::Word::low; };

Shown shown_of(const fault::Outcome& outcome) {
  Shown out;
  double most = 0;
  for (std::size_t word = 0; word < outcome.p.size(); ++word) {
    if (outcome.p[word] <= 0) continue;
    out.words.emplace_back(static_cast<observe::Word>(word), outcome.p[word]);
    if (outcome.p[word] > most) {
      most = outcome.p[word];
      out.likeliest = static_cast<observe::Word>(word);
    }
  }
  return out;
}

class Sweeper {
 public:
  Sweeper(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options) : predictor_(predictor), rows_(rows), options_(options) {
    hypotheses_ = rows.hypotheses;
    hypotheses_.emplace_back();
  }

  std::vector<Prospect> run(const std::vector<double>& weights, const std::vector<std::uint32_t>& class_of, std::size_t classes) {
    const board::Action power_off{board::Action::Kind::power_off, {}, {}, {}, {}};
    setup_ = options_.now.without(power_off);
    for (const board::PartId part : chips()) lay_out(part);
    if (walks_.empty()) return {};
    predict();
    std::vector<Prospect> out;
    for (const Walk& walk : walks_) {
      Prospect prospect = prospect_of(walk);
      if (!prospect.grouping.tells()) continue;
      prospect.bits = information(prospect.grouping, weights, class_of, classes);
      out.push_back(std::move(prospect));
    }
    std::stable_sort(out.begin(), out.end(), [](const Prospect& a, const Prospect& b) { return a.worth() > b.worth(); });
    if (out.size() > kKept) out.resize(kKept);
    for (Prospect& prospect : out) prospect.minutes += change_bench(options_.now, setup_, predictor_, options_.costs).minutes;
    return out;
  }

 private:
  /// Suspected parts, most weight first.
  std::vector<board::PartId> chips() const {
    std::vector<std::pair<double, board::PartId>> order;
    std::map<board::PartId, double> weight;
    for (std::size_t row = 0; row < rows_.hypotheses.size(); ++row)
      for (const fault::FaultId member : rows_.hypotheses[row])
        if (const fault::Site& site = predictor_.catalogue().fault(member).site; site.part.known()) weight[site.part] += rows_.weights[row];
    for (const auto& [part, share] : weight) order.emplace_back(-share, part);
    std::sort(order.begin(), order.end());
    std::vector<board::PartId> out;
    for (std::size_t i = 0; i < std::min(order.size(), kMostChips); ++i) out.push_back(order[i].second);
    return out;
  }
  bool asked_before(const fault::Query& query) const {
    return std::any_of(options_.asked.begin(), options_.asked.end(), [&](const fault::Evidence& piece) { return piece.query == query || predictor_.same_thing(piece.query, query); });
  }
  void lay_out(board::PartId part) {
    for (std::vector<fault::Query>& all : predictor_.walks(setup_, options_.kinds, part)) {
      Walk walk;
      for (fault::Query& query : all) {
        if (asked_before(query) || (options_.permitted && !options_.permitted(query))) continue;
        walk.columns.push_back(queries_.size());
        queries_.push_back(std::move(query));
      }
      if (walk.columns.size() >= kLeastPins) walks_.push_back(std::move(walk));
    }
  }

  void predict() {
    group_ = predictor_.alike(hypotheses_, queries_);
    std::vector<fault::Query> first;
    std::map<std::uint32_t, std::size_t> place;
    for (std::size_t i = 0; i < queries_.size(); ++i) {
      const auto [known, fresh] = place.try_emplace(group_[i], first.size());
      if (fresh) first.push_back(queries_[i]);
      group_[i] = static_cast<std::uint32_t>(known->second);
    }
    StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
    const fault::OutcomeTable table = predictor_.outcomes(hypotheses_, first, unlimited);
    shown_.resize(first.size());
    number_.resize(first.size());
    for (std::size_t column = 0; column < first.size(); ++column) {
      std::vector<const fault::Outcome*> distinct;
      for (std::size_t row = 0; row < table.rows; ++row) {
        const fault::Outcome& cell = table.at(row, column);
        std::size_t which = 0;
        while (which < distinct.size() && !plan::alike(*distinct[which], cell)) ++which;
        if (which == distinct.size()) {
          distinct.push_back(&cell);
          shown_[column].push_back(shown_of(cell));
        }
        number_[column].push_back(static_cast<std::uint16_t>(which));
      }
    }
  }

  /// Columns of the walk that differ between rows, and per row which combination it predicts.
  Prospect prospect_of(const Walk& walk) const {
    Prospect out;
    out.query = queries_[walk.columns.front()];
    for (std::size_t i = 1; i < walk.columns.size(); ++i) out.also.push_back(queries_[walk.columns[i]]);
    out.minutes = minutes_of(walk);
    std::vector<std::size_t> telling;
    for (const std::size_t column : walk.columns)
      if (shown_[group_[column]].size() > 1) telling.push_back(column);
    if (telling.empty()) return out;
    std::map<std::vector<std::uint16_t>, std::uint32_t> combination;
    std::vector<std::vector<std::uint16_t>> tuples;
    std::vector<double> weight;
    for (std::size_t row = 0; row < hypotheses_.size(); ++row) {
      std::vector<std::uint16_t> tuple;
      for (const std::size_t column : telling) tuple.push_back(number_[group_[column]][row]);
      const auto [known, fresh] = combination.try_emplace(tuple, static_cast<std::uint32_t>(tuples.size()));
      if (fresh) {
        tuples.push_back(tuple);
        weight.push_back(0);
      }
      out.grouping.prediction_of.push_back(known->second);
      weight[known->second] += rows_.weights[row];
    }
    tell_patterns(telling, tuples, weight, out.grouping);
    return out;
  }

  using Pattern = std::vector<observe::Word>;
  void tell_patterns(const std::vector<std::size_t>& telling, const std::vector<std::vector<std::uint16_t>>& tuples, const std::vector<double>& weight, Grouping& out) const {
    const auto pattern_of = [&](const std::vector<std::uint16_t>& tuple) {
      Pattern pattern;
      for (std::size_t i = 0; i < tuple.size(); ++i) pattern.push_back(shown_[group_[telling[i]]][tuple[i]].likeliest);
      return pattern;
    };
    std::vector<std::size_t> order(tuples.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return weight[a] > weight[b]; });
    const Pattern healthy = pattern_of(tuples[out.prediction_of.back()]);
    std::vector<Pattern> patterns{healthy};
    for (const std::size_t which : order) {
      const Pattern pattern = pattern_of(tuples[which]);
      if (patterns.size() < kMostPatterns && std::find(patterns.begin(), patterns.end(), pattern) == patterns.end()) patterns.push_back(pattern);
    }
    for (const Pattern& pattern : patterns) out.values.push_back(value_of(telling, pattern, healthy));
    observe::Value other;
    other.note = "anything else";
    out.values.push_back(other);
    const double doubt = options_.reading_doubt;
    for (const auto& tuple : tuples) {
      std::vector<double> chance;
      double told = 0;
      for (const Pattern& pattern : patterns) {
        double p = 1;
        for (std::size_t i = 0; i < tuple.size() && p > 0; ++i) p *= chance_of(shown_[group_[telling[i]]][tuple[i]], pattern[i]);
        chance.push_back(p);
        told += p;
      }
      chance.push_back(std::max(0.0, 1 - told));
      // One reading in a walk may be wrong and still leaves the rest of the picture: doubt is mixed in once.
      for (double& p : chance) p = (1 - doubt) * p + doubt / static_cast<double>(chance.size());
      out.chance.push_back(std::move(chance));
    }
  }
  static double chance_of(const Shown& shown, observe::Word word) {
    for (const auto& [each, p] : shown.words)
      if (each == word) return p;
    return 0;
  }
  /// "pin 4 low, pin 7 low"; what a good machine shows is "as on a good machine".
  observe::Value value_of(const std::vector<std::size_t>& telling, const Pattern& pattern, const Pattern& healthy) const {
    observe::Value value;
    std::vector<std::string> odd;
    std::map<observe::Word, std::size_t> words;
    for (std::size_t i = 0; i < pattern.size(); ++i) {
      if (pattern[i] == healthy[i]) continue;
      odd.push_back(predictor_.machine().name_of(queries_[telling[i]].point.pin) + " " + observe::name_of(pattern[i]));
      ++words[pattern[i]];
    }
    if (odd.empty()) {
      value.note = "as on a good machine";
    } else if (odd.size() <= kMostNamed) {
      value.note = join(odd, ", ");
    } else if (words.size() == 1) {
      value.note = fmt::format("{} pins {}", odd.size(), observe::name_of(words.begin()->first));
    } else {
      value.note = fmt::format("{} pins differ: {} and {} more", odd.size(), odd.front(), odd.size() - 1);
    }
    return value;
  }
  double minutes_of(const Walk& walk) const {
    const fault::Query& first = queries_[walk.columns.front()];
    const double price = options_.costs ? options_.costs->reading_minutes(first.kind, first.point, predictor_.machine()) : 1;
    const double next = options_.costs ? options_.costs->next_pin_minutes(first.kind) : kNextPin;
    return price + next * static_cast<double>(walk.columns.size() - 1);
  }

  const fault::Predictor& predictor_;
  const Rows& rows_;
  const PlanOptions& options_;
  board::Setup setup_;
  std::vector<fault::Hypothesis> hypotheses_;
  std::vector<fault::Query> queries_;
  std::vector<Walk> walks_;
  std::vector<std::uint32_t> group_;                 ///< [query] column of `shown_`
  std::vector<std::vector<Shown>> shown_;            ///< [column][distinct prediction]
  std::vector<std::vector<std::uint16_t>> number_;   ///< [column][row] distinct prediction
};

}  // namespace

std::vector<Prospect> sweeps(const fault::Predictor& predictor, const Rows& rows, const std::vector<double>& weights, const std::vector<std::uint32_t>& class_of,
                             std::size_t classes, const PlanOptions& options) {
  return Sweeper(predictor, rows, options).run(weights, class_of, classes);
}

}  // namespace halfsplit::plan
