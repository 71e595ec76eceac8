#include "infer/rank.h"

#include <utility>

#include "infer/posterior.h"
#include "infer/scores.h"
#include "infer/search.h"

namespace halfsplit::infer {

struct Session::State {
  Scores scores;
};

Session::Session(const fault::Predictor& predictor, fault::PriorOdds priors) : state_(new State{Scores(predictor, std::move(priors))}) {}
Session::~Session() = default;
Session::Session(Session&&) noexcept = default;
Session& Session::operator=(Session&&) noexcept = default;

void Session::add(const fault::Evidence& evidence) { state_->scores.add({evidence}); }
void Session::add(const std::vector<fault::Evidence>& evidence) { state_->scores.add(evidence); }
const std::vector<fault::Evidence>& Session::evidence() const { return state_->scores.evidence(); }

fault::Ranking Session::rank(const RankOptions& options) const {
  return make_ranking(state_->scores, search(state_->scores, options), options);
}

fault::Ranking rank(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                    const RankOptions& options) {
  Session session(predictor, priors);
  session.add(evidence);
  return session.rank(options);
}

}  // namespace halfsplit::infer
