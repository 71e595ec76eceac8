// oracle/told_predictor.h - a fault::Predictor over a real machine that answers what a test tells it to: one function from (faults, query) to an outcome.
#pragma once
#include <functional>
#include <memory>
#include <utility>

#include "fault/predictor.h"

namespace oracle {

class ToldPredictor : public halfsplit::fault::Predictor {
 public:
  using Tell = std::function<halfsplit::fault::Outcome(const halfsplit::fault::Hypothesis&, const halfsplit::fault::Query&)>;
  ToldPredictor(std::shared_ptr<const halfsplit::board::Machine> machine, halfsplit::fault::Catalogue catalogue, std::vector<halfsplit::fault::Query> points, Tell tell)
      : machine_(std::move(machine)), catalogue_(std::move(catalogue)), points_(std::move(points)), tell_(std::move(tell)) {}

  const halfsplit::board::Machine& machine() const override { return *machine_; }
  const halfsplit::fault::Catalogue& catalogue() const override { return catalogue_; }
  std::vector<double> score(const std::vector<halfsplit::fault::Hypothesis>& hypotheses, const std::vector<halfsplit::fault::Evidence>& evidence, halfsplit::StepBudget& budget) const override {
    std::vector<double> out;
    for (const auto& row : score_each(hypotheses, evidence, budget)) {
      double sum = 0;
      for (const double value : row) sum += value;
      out.push_back(sum);
    }
    return out;
  }
  std::vector<std::vector<double>> score_each(const std::vector<halfsplit::fault::Hypothesis>& hypotheses, const std::vector<halfsplit::fault::Evidence>& evidence, halfsplit::StepBudget& budget) const override {
    std::vector<std::vector<double>> out;
    for (const auto& hypothesis : hypotheses) {
      if (!budget.take()) break;
      auto& row = out.emplace_back();
      for (const auto& piece : evidence) {
        const double right = std::exp(halfsplit::fault::log_likelihood(piece.value, tell_(hypothesis, piece.query), piece.query.kind));
        const double wrong = std::exp(halfsplit::fault::log_misread(piece.value, piece.query.kind));
        row.push_back(std::log((1 - piece.doubt) * right + piece.doubt * wrong));
      }
    }
    return out;
  }
  halfsplit::fault::OutcomeTable outcomes(const std::vector<halfsplit::fault::Hypothesis>& hypotheses, const std::vector<halfsplit::fault::Query>& queries, halfsplit::StepBudget& budget) const override {
    halfsplit::fault::OutcomeTable table;
    table.columns = queries.size();
    for (const auto& hypothesis : hypotheses) {
      if (!budget.take()) break;
      ++table.rows;
      for (const auto& query : queries) table.cells.push_back(tell_(hypothesis, query));
    }
    return table;
  }
  /// Everything can change everything: a proven superset.
  std::vector<halfsplit::fault::FaultId> reach(const halfsplit::fault::Query&) const override {
    std::vector<halfsplit::fault::FaultId> out;
    for (std::size_t i = 0; i < catalogue_.size(); ++i) out.emplace_back(i);
    return out;
  }
  /// The points it was made with, in every set-up; ohms only with the power off, the rest only with it on.
  std::vector<halfsplit::fault::Query> queries(const halfsplit::board::Setup& setup, const std::vector<halfsplit::observe::Kind>& kinds) const override {
    std::vector<halfsplit::fault::Query> out;
    for (halfsplit::fault::Query query : points_) {
      const bool off = query.kind == halfsplit::observe::Kind::ohms;
      if (off == setup.powered() || std::find(kinds.begin(), kinds.end(), query.kind) == kinds.end()) continue;
      query.setup = setup;
      out.push_back(query);
    }
    return out;
  }

 private:
  std::shared_ptr<const halfsplit::board::Machine> machine_;
  halfsplit::fault::Catalogue catalogue_;
  std::vector<halfsplit::fault::Query> points_;
  Tell tell_;
};

}  // namespace oracle
