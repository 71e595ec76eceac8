#include "infer/scores.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "base/require.h"

namespace halfsplit::infer {
namespace {

constexpr std::uint64_t kNoLimit = std::numeric_limits<std::uint64_t>::max();

/// A certain prediction that comes true, the misreading that looks alike included.
double best_of_word(const fault::Evidence& evidence) {
  const double misread = std::exp(fault::log_misread(evidence.value, evidence.query.kind));
  return std::log((1 - evidence.doubt) + evidence.doubt * misread);
}

}  // namespace

Scores::Scores(const fault::Predictor& predictor, fault::PriorOdds priors) : predictor_(&predictor), priors_(std::move(priors)) {
  const fault::Catalogue& catalogue = predictor.catalogue();
  HS_REQUIRE(priors_.log_odds.size() == catalogue.size(), "one prior per fault of the catalogue");
  unlisted_.resize(catalogue.size());
  joint_.assign(catalogue.size(), 0);
  for (std::size_t i = 0; i < catalogue.size(); ++i) {
    const fault::Fault& fault = catalogue.faults()[i];
    unlisted_[i] = fault.effect == parts::Effect::unlisted;
    // What lies outside the model is weighed once, by PriorOdds::log_outside.
    if (fault.site.kind == fault::Site::Kind::outside) priors_.log_odds[i] = -std::numeric_limits<double>::infinity();
  }
}

void Scores::add(const std::vector<fault::Evidence>& evidence) {
  std::map<board::Setup, std::vector<std::size_t>> groups;
  for (const fault::Evidence& piece : evidence) {
    const std::size_t column = evidence_.size();
    evidence_.push_back(piece);
    columns_.emplace_back();
    touched_.emplace_back(predictor_->catalogue().size(), std::uint8_t{0});
    healthy_.push_back(0);
    best_.push_back(best_of_word(piece));
    for (const fault::FaultId fault : predictor_->reach(piece.query)) {
      touched_[column][fault.index()] = std::isfinite(priors_.log_odds[fault.index()]);
    }
    groups[piece.query.setup].push_back(column);
  }
  for (const auto& [setup, columns] : groups) score_group(columns);
  if (!evidence.empty()) score_unlisted();
}

void Scores::score_group(const std::vector<std::size_t>& group) {
  // Earlier readings of the same points go before: what they showed narrows what is expected now.
  std::vector<fault::Evidence> pieces;
  const auto asked_again = [&](std::size_t column) {
    return std::any_of(group.begin(), group.end(), [&](std::size_t again) { return again > column && predictor_->same_thing(evidence_[again].query, evidence_[column].query); });
  };
  for (std::size_t column = 0; column < group.front(); ++column)
    if (evidence_[column].query.setup == evidence_[group.front()].query.setup && asked_again(column)) pieces.push_back(evidence_[column]);
  const std::size_t first = pieces.size();
  for (const std::size_t column : group) pieces.push_back(evidence_[column]);
  std::vector<fault::Hypothesis> hypotheses(1);
  for (std::size_t i = 0; i < unlisted_.size(); ++i) {
    const bool reached = std::any_of(group.begin(), group.end(), [&](std::size_t column) { return touched_[column][i] != 0; });
    if (reached) hypotheses.emplace_back(fault::FaultId(i));
  }
  StepBudget budget(kNoLimit);
  const auto scored = predictor_->score_each(hypotheses, pieces, budget);
  HS_REQUIRE(scored.size() == hypotheses.size(), "an unlimited budget scores every single fault");
  steps_ += hypotheses.size();
  for (std::size_t k = 0; k < group.size(); ++k) {
    const std::size_t column = group[k];
    healthy_[column] = std::max(scored[0][first + k], kImpossible);
    columns_[column].assign(unlisted_.size(), healthy_[column]);
    for (std::size_t h = 1; h < hypotheses.size(); ++h) {
      const std::size_t fault = hypotheses[h][0].index();
      if (touched_[column][fault]) columns_[column][fault] = std::max(scored[h][first + k], kImpossible);
    }
    const auto [least, most] = std::minmax_element(columns_[column].begin(), columns_[column].end());
    if (pieces[first + k].value.is_number()) best_[column] = std::max(best_[column], *most);
    // Where nobody has a prediction nothing can explain the reading, and nothing needs to.
    const double anything = fault::log_misread(pieces[first + k].value, pieces[first + k].query.kind);
    if (*most - *least < 1e-9 && std::abs(*most - anything) < 1e-9) best_[column] = *most;
  }
}

void Scores::score_unlisted() {
  std::vector<fault::Hypothesis> hypotheses;
  for (const fault::FaultId fault : relevant()) {
    if (is_unlisted(fault)) hypotheses.emplace_back(fault);
  }
  if (hypotheses.empty()) return;
  StepBudget budget(kNoLimit);
  const std::vector<double> scored = predictor_->score(hypotheses, evidence_, budget);
  HS_REQUIRE(scored.size() == hypotheses.size(), "an unlimited budget scores every single fault");
  steps_ += hypotheses.size();
  for (std::size_t h = 0; h < hypotheses.size(); ++h) joint_[hypotheses[h][0].index()] = std::max(scored[h], kImpossible * static_cast<double>(evidence_.size()));
}

std::vector<fault::FaultId> Scores::relevant() const {
  std::vector<fault::FaultId> out;
  for (std::size_t i = 0; i < unlisted_.size(); ++i) {
    const bool reached = std::any_of(touched_.begin(), touched_.end(), [&](const auto& column) { return column[i] != 0; });
    if (reached) out.emplace_back(i);
  }
  return out;
}

double Scores::total(fault::FaultId fault) const {
  if (is_unlisted(fault)) return joint_[fault.index()];
  double sum = 0;
  for (const auto& column : columns_) sum += column[fault.index()];
  return sum;
}

double Scores::healthy_total() const {
  double sum = 0;
  for (const double value : healthy_) sum += value;
  return sum;
}

}  // namespace halfsplit::infer
