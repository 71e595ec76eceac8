#include "plan/influence.h"

#include <algorithm>
#include <limits>

namespace halfsplit::plan {
namespace {

constexpr float kWorks = 0.9f;  ///< a good machine's function works at least this surely
constexpr float kMayFail = 0.05f;

float works(const fault::Outcome& outcome) {
  if (outcome.form != fault::Outcome::Form::words) return -1;
  return outcome.p[static_cast<std::size_t>(observe::Word::right)];
}

}  // namespace

std::vector<board::FunctionId> all_functions(const board::Machine& machine) {
  std::vector<board::FunctionId> out;
  for (std::size_t i = 0; i < machine.functions().size(); ++i) out.emplace_back(i);
  return out;
}

fault::Query trial_of(board::FunctionId function, const board::Setup& setup) {
  fault::Query out;
  out.setup = setup.without({board::Action::Kind::power_off, {}, {}, {}, {}});
  out.point.at = observe::Point::At::function;
  out.point.function = function;
  out.kind = observe::Kind::function;
  return out;
}

std::vector<std::vector<bool>> influence(const fault::Predictor& predictor, const std::vector<fault::FaultId>& faults, const std::vector<board::FunctionId>& functions, const board::Setup& setup) {
  std::vector<fault::Hypothesis> rows = {fault::Hypothesis()};
  for (const fault::FaultId fault : faults) rows.emplace_back(fault);
  std::vector<fault::Query> queries;
  for (const board::FunctionId function : functions) queries.push_back(trial_of(function, setup));
  StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
  const fault::OutcomeTable table = predictor.outcomes(rows, queries, unlimited);
  std::vector<std::vector<bool>> out(faults.size(), std::vector<bool>(functions.size(), false));
  for (std::size_t column = 0; column < functions.size(); ++column) {
    const float healthy = works(table.at(0, column));
    if (healthy < kWorks) {
      const auto reach = predictor.reach(queries[column]);
      for (std::size_t row = 0; row < faults.size(); ++row) out[row][column] = std::binary_search(reach.begin(), reach.end(), faults[row]);
      continue;
    }
    for (std::size_t row = 0; row < faults.size(); ++row) out[row][column] = works(table.at(row + 1, column)) < healthy - kMayFail;
  }
  return out;
}

std::vector<std::vector<bool>> influence_of_parts(const fault::Predictor& predictor, const std::vector<board::PartId>& parts, const std::vector<board::FunctionId>& functions) {
  const fault::Catalogue& catalogue = predictor.catalogue();
  std::vector<fault::FaultId> faults;
  std::vector<std::size_t> whose;
  for (std::size_t part = 0; part < parts.size(); ++part) {
    const auto site = catalogue.site_of_part(parts[part]);
    if (!site) continue;
    for (const fault::FaultId fault : catalogue.faults_at(*site)) {
      if (catalogue.fault(fault).site.kind == fault::Site::Kind::drawing) continue;
      faults.push_back(fault);
      whose.push_back(part);
    }
  }
  std::vector<std::vector<bool>> out(parts.size(), std::vector<bool>(functions.size(), false));
  if (faults.empty() || functions.empty()) return out;
  const auto touched = influence(predictor, faults, functions);
  for (std::size_t row = 0; row < faults.size(); ++row)
    for (std::size_t column = 0; column < functions.size(); ++column)
      if (touched[row][column]) out[whose[row]][column] = true;
  return out;
}

std::vector<bool> can_work(const fault::Predictor& predictor, const std::vector<board::FunctionId>& functions, const board::Setup& setup) {
  std::vector<fault::Query> queries;
  for (const board::FunctionId function : functions) queries.push_back(trial_of(function, setup));
  StepBudget unlimited(std::numeric_limits<std::uint64_t>::max());
  const fault::OutcomeTable table = predictor.outcomes({fault::Hypothesis()}, queries, unlimited);
  std::vector<bool> out;
  for (std::size_t column = 0; column < functions.size(); ++column) {
    const float chance = works(table.at(0, column));
    out.push_back(chance < 0 || chance > 1 - kWorks);
  }
  return out;
}

}  // namespace halfsplit::plan
