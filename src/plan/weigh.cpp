#include "plan/weigh.h"

#include <algorithm>
#include <iterator>
#include <limits>
#include <map>
#include <set>

#include "base/require.h"
#include "plan/sweep.h"

namespace halfsplit::plan {
namespace {

constexpr double kFlatReading = 1;
constexpr double kLeastMinutes = 0.05;
constexpr double kLeastBits = 1e-4;
constexpr std::size_t kLeadingRows = 32, kSimulatedFully = 4;

/// Something outside the model leaves most readings as they are on the healthy machine (the table's last row) and makes the rest anything.
constexpr double kOutsideTouches = 0.3;
void add_outside(Grouping& grouping) {
  const std::vector<double>& healthy = grouping.chance[grouping.prediction_of.back()];
  std::vector<double> chance;
  for (const double value : healthy) chance.push_back((1 - kOutsideTouches) * value + kOutsideTouches / static_cast<double>(healthy.size()));
  grouping.prediction_of.back() = static_cast<std::uint32_t>(grouping.chance.size());
  grouping.chance.push_back(std::move(chance));
}

double reading_minutes(const fault::Query& query, const fault::Predictor& predictor, const PlanOptions& options) {
  return options.costs ? options.costs->reading_minutes(query.kind, query.point, predictor.machine()) : kFlatReading;
}

/// Where a hypothesis predicts the same for a candidate as for a reading taken from that copper, it shows what that reading showed.
void expect_again(fault::OutcomeTable& table, const std::vector<fault::Hypothesis>& hypotheses, const Block& block, const fault::Predictor& predictor, const PlanOptions& options) {
  std::vector<const fault::Evidence*> here;
  std::vector<fault::Query> queries;
  for (const fault::Evidence& piece : options.asked) {
    if (!(piece.query.setup == block.setup)) continue;
    here.push_back(&piece);
    queries.push_back(piece.query);
  }
  if (here.empty()) return;
  StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
  const fault::OutcomeTable taken = predictor.outcomes(hypotheses, queries, unlimited);
  for (std::size_t column = 0; column < table.columns; ++column) {
    std::vector<std::size_t> same;
    for (std::size_t piece = 0; piece < here.size(); ++piece)
      if (predictor.same_thing(here[piece]->query, block.queries[column])) same.push_back(piece);
    for (std::size_t row = 0; row < table.rows && !same.empty(); ++row) {
      fault::Outcome& cell = table.cells[row * table.columns + column];
      const fault::Outcome predicted = cell;
      for (const std::size_t piece : same)
        if (alike(taken.at(row, piece), predicted)) cell = fault::narrowed(cell, *here[piece]);
    }
  }
}

/// What is asked of a test: the class of the row, and how much each row counts.
struct Question {
  std::vector<std::uint32_t> class_of;
  std::size_t classes = 0;
  std::vector<double> weights;
};
Question question_of(const Rows& rows, bool verifying) {
  Question out{rows.class_of, rows.classes.size(), rows.weights};
  if (!verifying) {
    // That nothing in the model fits is a verdict's doubt, not a place to repair: it is asked about only when a verdict is tested.
    out.weights.back() = 0;
    return out;
  }
  out.classes = 2;
  for (std::size_t row = 0; row < out.class_of.size(); ++row) {
    const auto& held = rows.classes[rows.class_of[row]];
    out.class_of[row] = std::binary_search(held.begin(), held.end(), *rows.top) ? 1 : 0;
  }
  return out;
}

/// The most probable rows, and the outside.
Rows leading(const Rows& rows, std::size_t count) {
  Rows out = rows;
  const auto cut = [count](auto& of_row) { of_row.erase(of_row.begin() + static_cast<std::ptrdiff_t>(count), of_row.end() - 1); };
  out.hypotheses.resize(count);
  cut(out.weights);
  cut(out.class_of);
  return out;
}

/// Of queries that no hypothesis tells apart the cheapest; those at copper that has been read before stay, for what they showed counts there.
std::vector<fault::Query> of_each_kind(const Block& block, const std::vector<fault::Hypothesis>& hypotheses, const fault::Predictor& predictor, const PlanOptions& options) {
  std::vector<fault::Query> out;
  std::map<std::uint32_t, std::pair<double, std::size_t>> place;
  const std::vector<std::uint32_t> group = predictor.alike(hypotheses, block.queries);
  for (std::size_t i = 0; i < block.queries.size(); ++i) {
    const fault::Query& query = block.queries[i];
    if (std::any_of(options.asked.begin(), options.asked.end(), [&](const fault::Evidence& piece) { return predictor.same_thing(piece.query, query); })) {
      out.push_back(query);
      continue;
    }
    const double price = reading_minutes(query, predictor, options);
    const auto [known, fresh] = place.try_emplace(group[i], price, out.size());
    if (fresh) {
      out.push_back(query);
    } else if (price < known->second.first) {
      out[known->second.second] = query;
      known->second.first = price;
    }
  }
  return out;
}

std::vector<Prospect> weigh_block(const Block& all, const Rows& rows, bool verifying, const fault::Predictor& predictor, const PlanOptions& options, StepBudget& budget) {
  std::vector<Prospect> out;
  std::vector<fault::Hypothesis> hypotheses = rows.hypotheses;
  hypotheses.emplace_back();
  if (!budget.take(hypotheses.size())) return out;
  const Block block{all.setup, of_each_kind(all, hypotheses, predictor, options), all.isolates};
  const Question question = question_of(rows, verifying);
  StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
  fault::OutcomeTable table = predictor.outcomes(hypotheses, block.queries, unlimited);
  HS_REQUIRE(table.rows == hypotheses.size() && table.columns == block.queries.size(), "an unlimited budget answers every query");
  expect_again(table, hypotheses, block, predictor, options);
  const double change = change_bench(options.now, block.setup, predictor, options.costs).minutes;
  for (std::size_t column = 0; column < table.columns; ++column) {
    Prospect prospect;
    prospect.query = block.queries[column];
    prospect.stage = safety_stage(prospect.query, predictor, options);
    prospect.grouping = group_outcomes(table, column, options.reading_doubt);
    if (!prospect.grouping.tells() && prospect.stage == 2) continue;
    const bool tells = prospect.grouping.tells();
    add_outside(prospect.grouping);
    prospect.bits = tells ? information(prospect.grouping, question.weights, question.class_of, question.classes) : 0;
    if (prospect.bits < kLeastBits && prospect.stage == 2) continue;
    prospect.minutes = std::max(kLeastMinutes, change + reading_minutes(prospect.query, predictor, options));
    prospect.isolates = block.isolates;
    out.push_back(std::move(prospect));
  }
  return out;
}

/// Takes the functions out that are tried with a key held: each is a set-up of its own for the predictor.
std::vector<Block> keys_apart(Block& block, const fault::Predictor& predictor) {
  std::vector<Block> out;
  const auto held = [&](const fault::Query& query) {
    return query.kind == observe::Kind::function && query.point.at == observe::Point::At::function && predictor.machine().function(query.point.function).held.has_value();
  };
  for (const fault::Query& query : block.queries)
    if (held(query)) out.push_back({block.setup, {query}, block.isolates});
  if (!out.empty()) block.queries.erase(std::remove_if(block.queries.begin(), block.queries.end(), held), block.queries.end());
  return out;
}

/// Of set-ups that have to be simulated, those that promise most under the leading rows, best first.
std::vector<Block> worth_simulating(std::vector<Block> blocks, const Rows& rows, bool verifying, const fault::Predictor& predictor, const PlanOptions& options, StepBudget& budget) {
  if (blocks.size() <= kSimulatedFully || rows.hypotheses.size() <= kLeadingRows) return blocks;
  const Rows few = leading(rows, kLeadingRows);
  std::vector<std::pair<double, std::size_t>> order;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    double best = 0;
    for (const Prospect& prospect : weigh_block(blocks[i], few, verifying, predictor, options, budget)) best = std::max(best, prospect.worth());
    order.emplace_back(-best, i);
  }
  std::sort(order.begin(), order.end());
  std::vector<Block> out;
  for (std::size_t i = 0; i < kSimulatedFully; ++i) out.push_back(std::move(blocks[order[i].second]));
  return out;
}

bool better(const Prospect& a, const Prospect& b) { return a.worth() > b.worth(); }

/// Moves the best prospect of each safety stage to the front, lower stages first.
void put_safety_first(std::vector<Prospect>& prospects) {
  for (const int stage : {1, 0}) {
    const auto first = std::find_if(prospects.begin(), prospects.end(), [stage](const Prospect& prospect) { return prospect.stage == stage; });
    if (first != prospects.end()) std::rotate(prospects.begin(), first, first + 1);
  }
}

/// Of prospects that split the rows alike and cost the same only the first is of use.
void drop_alike(std::vector<Prospect>& prospects) {
  std::set<std::pair<std::vector<std::uint32_t>, std::pair<double, double>>> seen;
  const auto alike = [&](const Prospect& prospect) { return prospect.stage == 2 && !seen.emplace(prospect.grouping.prediction_of, std::pair(prospect.bits, prospect.minutes)).second; };
  prospects.erase(std::remove_if(prospects.begin(), prospects.end(), alike), prospects.end());
}

}  // namespace

Weighed weigh(const fault::Predictor& predictor, const fault::Ranking& ranking, const PlanOptions& options) {
  Weighed out;
  out.rows = make_rows(ranking, predictor.catalogue(), options.rows, options.spared);
  out.verifying = out.rows.top && out.rows.top_share >= options.verify_share;
  StepBudget budget(options.steps);
  const auto take = [&](const Block& block) {
    for (Prospect& prospect : weigh_block(block, out.rows, out.verifying, predictor, options, budget)) out.prospects.push_back(std::move(prospect));
  };
  std::vector<Block> dear;
  for (Block& block : candidates(predictor, out.rows, options)) {
    std::vector<Block> keys = keys_apart(block, predictor);
    std::move(keys.begin(), keys.end(), std::back_inserter(dear));
    if (block.isolates) dear.push_back(std::move(block));
    else if (!block.queries.empty()) take(block);
  }
  for (const Block& block : worth_simulating(std::move(dear), out.rows, out.verifying, predictor, options, budget)) take(block);
  if (options.sweeps && !out.verifying && budget.take(out.rows.hypotheses.size())) {
    const Question question = question_of(out.rows, out.verifying);
    for (Prospect& prospect : sweeps(predictor, out.rows, question.weights, question.class_of, question.classes, options))
      if (prospect.bits >= kLeastBits) out.prospects.push_back(std::move(prospect));
  }
  std::stable_sort(out.prospects.begin(), out.prospects.end(), better);
  drop_alike(out.prospects);
  put_safety_first(out.prospects);
  return out;
}

std::vector<double> weights_after(const Weighed& weighed, const Prospect& prospect, std::size_t group) {
  std::vector<double> out(weighed.rows.weights.size());
  double total = 0;
  for (std::size_t row = 0; row < out.size(); ++row) {
    out[row] = weighed.rows.weights[row] * prospect.grouping.chance[prospect.grouping.prediction_of[row]][group];
    total += out[row];
  }
  for (double& weight : out) weight /= total > 0 ? total : 1;
  return out;
}

}  // namespace halfsplit::plan
