#include "infer/rank.h"

#include <utility>

#include "infer/posterior.h"
#include "infer/scores.h"
#include "infer/search.h"

namespace halfsplit::infer {

struct Session::State {
  Scores scores;
  std::vector<fault::Evidence> evidence;  ///< all of it
  std::size_t scored = 0;                 ///< how much of it the scores hold

  /// Scores what came since the last ranking, in one batch.
  void catch_up() {
    scores.add({evidence.begin() + static_cast<std::ptrdiff_t>(scored), evidence.end()});
    scored = evidence.size();
  }
};

Session::Session(const fault::Predictor& predictor, fault::PriorOdds priors) : state_(new State{Scores(predictor, std::move(priors)), {}, 0}) {}
Session::~Session() = default;
Session::Session(Session&&) noexcept = default;
Session& Session::operator=(Session&&) noexcept = default;

void Session::add(const fault::Evidence& evidence) { state_->evidence.push_back(evidence); }
void Session::add(const std::vector<fault::Evidence>& evidence) {
  state_->evidence.insert(state_->evidence.end(), evidence.begin(), evidence.end());
}
const std::vector<fault::Evidence>& Session::evidence() const { return state_->evidence; }

fault::Ranking Session::rank(const RankOptions& options) const {
  state_->catch_up();
  return make_ranking(state_->scores, search(state_->scores, options), options);
}

fault::Ranking rank(const fault::Predictor& predictor, const fault::PriorOdds& priors, const std::vector<fault::Evidence>& evidence,
                    const RankOptions& options) {
  Session session(predictor, priors);
  session.add(evidence);
  return session.rank(options);
}

}  // namespace halfsplit::infer
