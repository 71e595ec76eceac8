#include "infer/search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <queue>
#include <unordered_set>

#include "base/require.h"
#include "infer/sample.h"

namespace halfsplit::infer {
namespace {

using fault::FaultId;
using fault::Hypothesis;

constexpr double kNever = -std::numeric_limits<double>::infinity();
/// Chance that two faults together explain a reading that neither explains alone.
const double kSurprise = std::log(0.01);
constexpr std::size_t kBatch = 64;
constexpr double kWorthSampling = 1e-3;     // share of the found weight

double log_add(double a, double b) {
  if (a < b) std::swap(a, b);
  return b < a - 40 ? a : a + std::log1p(std::exp(b - a));
}

struct HypothesisHash {
  std::size_t operator()(const Hypothesis& hypothesis) const noexcept {
    std::uint64_t hash = 0xcbf29ce484222325ull;
    for (const FaultId fault : hypothesis) hash = (hash ^ fault.index()) * 0x100000001b3ull;
    return static_cast<std::size_t>(hash ^ (hash >> 29));
  }
};

struct LaterFirst {
  bool operator()(const Item& a, const Item& b) const {
    if (a.key != b.key) return a.key < b.key;
    if (a.node != b.node) return a.node > b.node;
    return a.extra > b.extra;
  }
};

class Search {
 public:
  Search(const Scores& scores, const RankOptions& options);
  Found run();

 private:
  struct Gain { double expected = 0, possible = 0; bool asked = false; };

  void take_stock();
  void group_alike();
  void seed();
  void queue_node(std::size_t node);
  void extend(const Item& item);
  Gain gain(std::size_t node, std::size_t extra) const;
  bool needed(std::size_t node, std::size_t extra) const;
  std::vector<std::uint32_t> sites_of(const Hypothesis& hypothesis) const;
  void leave_out(const Item& item) { leave_out(item, relative(item.key)); }
  void leave_out(const Item& item, double weight);
  void evaluate(const std::vector<Item>& batch);
  void compose(const Item& item);
  bool meets(std::size_t node, std::size_t extra) const;
  bool simulate(const std::vector<Item>& batch);
  void keep(const Hypothesis& hypothesis, double log_prior, double log_likelihood, const double* row);
  bool gains(std::size_t set, std::size_t subset) const;
  double weigh_sample();
  void close();

  const double* row(std::size_t node) const { return found_.rows.data() + node * columns_; }
  bool touched(std::size_t node, std::size_t column) const { return node_touch_[node * columns_ + column] != 0; }
  bool reaches(std::size_t extra, std::size_t column) const { return touch_[extra * columns_ + column] != 0; }
  /// exp, safe against the few sums of odds that are no probabilities.
  double relative(double log_weight) const { return log_weight - reference_ < -40 ? 0 : std::exp(std::min(log_weight - reference_, 300.0)); }
  double cut() const { return log_found_ + log_stop_; }
  /// Log of the highest weight that any superset of the node can have, without the odds of its additions.
  double ceiling(std::size_t node) const { return found_.sets[node].log_prior + best_total_; }

  const Scores& scores_;
  const RankOptions& options_;
  const std::size_t columns_;
  std::vector<FaultId> relevant_;
  std::vector<std::vector<std::uint32_t>> alike_;  ///< the same by what they do to the readings: they gain alike
  std::vector<std::uint32_t> partial_;       ///< relevant faults that leave some reading unexplained: members of larger cores
  std::vector<std::uint32_t> site_;          ///< [relevant] dense number of its Site
  std::size_t site_count_ = 0;
  std::vector<double> log_odds_;             ///< [relevant]
  std::vector<std::uint8_t> touch_;          ///< [relevant][column]
  std::vector<std::uint8_t> node_touch_;     ///< [set][column]: some member reaches it
  std::vector<double> top_;                  ///< [column] the best any single makes of it
  std::vector<double> best_;                 ///< [column] the best possible
  std::vector<double> bonus_;                ///< [relevant] joint score of an unlisted fault less the sum of its columns
  std::vector<std::vector<std::size_t>> setups_;  ///< columns of each set-up
  std::priority_queue<Item, std::vector<Item>, LaterFirst> queue_;
  std::unordered_set<Hypothesis, HypothesisHash> seen_;
  StepBudget budget_;
  StepBudget unlimited_{std::numeric_limits<std::uint64_t>::max()};  ///< for the predictor: work is counted here, before it is asked
  Found found_;
  double log_found_ = kNever, log_stop_ = kNever;
  double log_any_ = kNever;                  ///< odds of any additions at all
  std::vector<double> reach_odds_;           ///< [column] log of the odds of all faults that reach it
  double best_total_ = 0, max_log_odds_ = kNever, odds_sum_ = 0;
  double reference_ = 0;                     ///< log weight of the singles together; the sums below are relative to it
  double left_nodes_ = 0, left_sets_ = 0, left_bound_ = 0;
  double promised_ = 0, delivered_ = 0;      ///< of the nodes extended
  std::vector<double> odds_;                 ///< [relevant]
  Sample sample_;
  bool proven_ = true;
};

Search::Search(const Scores& scores, const RankOptions& options)
    : scores_(scores), options_(options), columns_(scores.evidence().size()), relevant_(scores.relevant()), budget_(options.steps) {
  HS_REQUIRE(options.max_faults >= 1 && options.max_faults <= Hypothesis::kMost, "a hypothesis holds one to four faults");
  log_stop_ = options.stop_share > 0 ? std::log(options.stop_share) : kNever;
  std::map<fault::Site, std::uint32_t> sites;
  std::map<board::Setup, std::size_t> setups;
  for (std::size_t e = 0; e < columns_; ++e) {
    const auto [place, fresh] = setups.emplace(scores.evidence()[e].query.setup, setups_.size());
    if (fresh) setups_.emplace_back();
    setups_[place->second].push_back(e);
    best_.push_back(scores.best(e));
    best_total_ += best_.back();
    top_.push_back(scores.healthy(e));
    if (scores.evidence()[e].value.is_number() || scores.evidence()[e].doubt > kHardDoubt) proven_ = false;
  }
  for (std::size_t r = 0; r < relevant_.size(); ++r) {
    const fault::Fault& described = scores.predictor().catalogue().fault(relevant_[r]);
    site_.push_back(sites.emplace(described.site, static_cast<std::uint32_t>(sites.size())).first->second);
    log_odds_.push_back(scores.priors().log_odds[relevant_[r].index()]);
    odds_.push_back(std::exp(log_odds_.back()));
    bool partial = false;
    for (std::size_t e = 0; e < columns_; ++e) {
      touch_.push_back(scores.touches(relevant_[r], e));
      partial = partial || best_[e] - scores.single(relevant_[r], e) >= options.least_gain;
    }
    if (partial) partial_.push_back(static_cast<std::uint32_t>(r));
  }
  site_count_ = sites.size();
  take_stock();
}

/// Sums and maxima over the faults that larger sets can be made of.
void Search::take_stock() {
  reach_odds_.assign(columns_, 0);
  for (const std::uint32_t r : partial_) {
    const double odds = odds_[r];
    max_log_odds_ = std::max(max_log_odds_, log_odds_[r]);
    odds_sum_ += odds;
    for (std::size_t e = 0; e < columns_; ++e) {
      top_[e] = std::max(top_[e], scores_.single(relevant_[r], e));
      if (reaches(r, e)) reach_odds_[e] += odds;
    }
  }
  for (double& odds : reach_odds_) odds = std::log(odds);
  log_any_ = std::log(std::expm1(odds_sum_));
}

/// Faults with one row of scores gain alike at every node: an open joint, a cut track and a wrong net of one pin, all joints of one net.
void Search::group_alike() {
  std::map<std::vector<double>, std::size_t> groups;
  for (const std::uint32_t r : partial_) {
    std::vector<double> key(row(r + 1), row(r + 1) + columns_);
    key.push_back(bonus_[r]);
    key.push_back(scores_.is_unlisted(relevant_[r]) ? 1 : 0);
    for (std::size_t e = 0; e < columns_; ++e) key.push_back(reaches(r, e) ? 1 : 0);
    const auto [place, fresh] = groups.try_emplace(std::move(key), alike_.size());
    if (fresh) alike_.emplace_back();
    alike_[place->second].push_back(r);
  }
}

void Search::keep(const Hypothesis& hypothesis, double log_prior, double log_likelihood, const double* row) {
  found_.sets.push_back({hypothesis, log_prior, log_likelihood});
  found_.rows.insert(found_.rows.end(), row, row + columns_);
  log_found_ = log_add(log_found_, log_prior + log_likelihood);
}

void Search::seed() {
  std::vector<double> one(columns_);
  for (std::size_t e = 0; e < columns_; ++e) one[e] = scores_.healthy(e);
  keep(Hypothesis(), 0, scores_.healthy_total(), one.data());
  node_touch_.assign(columns_, 0);
  bonus_.resize(relevant_.size());
  for (std::size_t r = 0; r < relevant_.size(); ++r) {
    double sum = 0;
    for (std::size_t e = 0; e < columns_; ++e) sum += one[e] = scores_.single(relevant_[r], e);
    bonus_[r] = scores_.is_unlisted(relevant_[r]) ? scores_.total(relevant_[r]) - sum : 0;
    keep(Hypothesis(relevant_[r]), log_odds_[r], sum + bonus_[r], one.data());
    for (std::size_t e = 0; e < columns_; ++e) node_touch_.push_back(touch_[r * columns_ + e]);
  }
}

/// Puts a node in line when a further fault could better it; its key is the best that one addition can be expected to make of it.
void Search::queue_node(std::size_t node) {
  const Explained& set = found_.sets[node];
  double expected = 0;
  double beyond = kNever;  // log of what supersets can weigh beside the ceiling
  for (std::size_t e = 0; e < columns_; ++e) {
    const double now = row(node)[e], gap = best_[e] - now;
    expected += std::max(0.0, std::max(top_[e], best_[e] + kSurprise) - now);
    if (gap < options_.least_gain) continue;
    // A superset either adds a fault in reach of this reading, or leaves it as badly explained as it is.
    const double here = log_add(reach_odds_[e] + odds_sum_, log_any_ - gap);
    beyond = beyond == kNever ? here : std::min(beyond, here);
  }
  if (beyond == kNever || set.hypothesis.size() == site_count_) return;
  const Item item{set.weight() + expected + max_log_odds_, relative(ceiling(node) + beyond), static_cast<std::uint32_t>(node), kWholeNode};
  if (set.hypothesis.size() >= options_.max_faults || item.key < cut()) {
    leave_out(item);
  } else {
    queue_.push(item);
  }
}

void Search::leave_out(const Item& item, double weight) {
  (item.extra == kWholeNode ? left_nodes_ : left_sets_) += weight;
  left_bound_ += item.bound;
  if (item.extra != kWholeNode && weight > 0) sample_.offer(item, weight);
}

std::vector<std::uint32_t> Search::sites_of(const Hypothesis& hypothesis) const {
  std::vector<std::uint32_t> out;
  for (const FaultId member : hypothesis) {
    const auto place = std::lower_bound(relevant_.begin(), relevant_.end(), member);
    out.push_back(site_[static_cast<std::size_t>(place - relevant_.begin())]);
  }
  return out;
}

/// What the extra fault adds to the log-likelihood of the node: exact where only one of the two reaches a reading.
Search::Gain Search::gain(std::size_t node, std::size_t extra) const {
  const double* now = row(node);
  const double* alone = row(extra + 1);
  const double* healthy = row(0);
  const bool extra_unlisted = scores_.is_unlisted(relevant_[extra]);
  double expected = bonus_[extra], possible = std::max(0.0, bonus_[extra]);
  bool asked = false;
  for (std::size_t e = 0; e < columns_; ++e) {
    if (!reaches(extra, e)) continue;
    const double limit = best_[e] - now[e];
    asked = asked || limit >= options_.least_gain;
    if (!touched(node, e)) {
      expected += alone[e] - now[e];
      possible += extra_unlisted ? limit : alone[e] - now[e];
      continue;
    }
    double likely = alone[e];
    if (now[e] != healthy[e]) likely = alone[e] != healthy[e] ? std::max(alone[e], now[e]) : now[e];
    expected += std::max(likely - now[e], limit + kSurprise);
    possible += limit;
  }
  return {expected, possible, asked};
}

/// Some reading that the extra fault leaves unexplained is in reach of the node: else the node would be the harmless part.
bool Search::needed(std::size_t node, std::size_t extra) const {
  for (std::size_t e = 0; e < columns_; ++e) {
    if (touched(node, e) && best_[e] - row(extra + 1)[e] >= options_.least_gain) return true;
  }
  return false;
}

void Search::extend(const Item& item) {
  const std::size_t node = item.node;
  const Explained set = found_.sets[node];
  budget_.take(1 + partial_.size() * columns_ / 2048);
  // Whatever lies deeper than a set is covered by the ceiling of the node.
  const double deeper = relative(ceiling(node) + log_any_);
  promised_ += relative(item.key);
  const std::vector<std::uint32_t> taken = sites_of(set.hypothesis);
  for (const std::vector<std::uint32_t>& alike : alike_) {
    const Gain more = gain(node, alike.front());
    if (!more.asked || !needed(node, alike.front())) continue;
    const double expected = set.weight() + more.expected, share = relative(expected);
    const double possible = proven_ ? relative(set.weight() + more.possible) + deeper : 0;
    for (const std::uint32_t extra : alike) {
      if (std::find(taken.begin(), taken.end(), site_[extra]) != taken.end()) continue;
      const Item next{expected + log_odds_[extra], possible * odds_[extra], item.node, extra};
      const double weight = share * odds_[extra];
      delivered_ += weight;
      if (next.key < cut()) {
        leave_out(next, weight);
      } else if (seen_.insert(set.hypothesis.with(relevant_[extra])).second) {
        queue_.push(next);
      }
    }
  }
}

bool Search::meets(std::size_t node, std::size_t extra) const {
  for (std::size_t e = 0; e < columns_; ++e) {
    if (reaches(extra, e) && touched(node, e)) return true;
  }
  return false;
}

/// The row of a set whose last member reaches no reading that the others reach.
void Search::compose(const Item& item) {
  const Explained set = found_.sets[item.node];
  std::vector<double> together(row(item.node), row(item.node) + columns_);
  double more = bonus_[item.extra];
  for (std::size_t e = 0; e < columns_; ++e) {
    if (!reaches(item.extra, e)) continue;
    more += row(item.extra + 1)[e] - together[e];
    together[e] = row(item.extra + 1)[e];
  }
  keep(set.hypothesis.with(relevant_[item.extra]), set.log_prior + log_odds_[item.extra], set.log_likelihood + more, together.data());
}

/// Simulates sets whose members meet, set-up by set-up, only where they meet. False when the budget ended before all were done.
bool Search::simulate(const std::vector<Item>& batch) {
  std::vector<Hypothesis> sets;
  std::vector<std::vector<double>> rows;
  std::vector<std::size_t> joint;
  for (std::size_t i = 0; i < batch.size(); ++i) {
    sets.push_back(found_.sets[batch[i].node].hypothesis.with(relevant_[batch[i].extra]));
    rows.emplace_back(row(batch[i].node), row(batch[i].node) + columns_);
    for (std::size_t e = 0; e < columns_; ++e) {
      if (reaches(batch[i].extra, e)) rows[i][e] = row(batch[i].extra + 1)[e];
    }
    if (std::any_of(sets[i].begin(), sets[i].end(), [&](FaultId member) { return scores_.is_unlisted(member); })) joint.push_back(i);
  }
  for (const std::vector<std::size_t>& group : setups_) {
    std::vector<fault::Evidence> pieces;
    std::vector<Hypothesis> concerned;
    std::vector<std::size_t> which;
    for (const std::size_t e : group) pieces.push_back(scores_.evidence()[e]);
    for (std::size_t i = 0; i < batch.size(); ++i) {
      const bool here = std::any_of(group.begin(), group.end(), [&](std::size_t e) { return reaches(batch[i].extra, e) && touched(batch[i].node, e); });
      if (!here) continue;
      concerned.push_back(sets[i]);
      which.push_back(i);
    }
    if (concerned.empty()) continue;
    if (!budget_.take(concerned.size())) return false;
    const auto scored = scores_.predictor().score_each(concerned, pieces, unlimited_);
    HS_REQUIRE(scored.size() == concerned.size(), "an unlimited budget scores every hypothesis");
    found_.steps += scored.size();
    for (std::size_t k = 0; k < which.size(); ++k) {
      for (std::size_t c = 0; c < group.size(); ++c) rows[which[k]][group[c]] = std::max(scored[k][c], kImpossible);
    }
  }
  std::vector<double> totals(batch.size(), 0);
  for (std::size_t i = 0; i < batch.size(); ++i) {
    for (const double value : rows[i]) totals[i] += value;
  }
  if (!joint.empty()) {
    std::vector<Hypothesis> concerned;
    for (const std::size_t i : joint) concerned.push_back(sets[i]);
    if (!budget_.take(concerned.size())) return false;
    const std::vector<double> scored = scores_.predictor().score(concerned, scores_.evidence(), unlimited_);
    HS_REQUIRE(scored.size() == concerned.size(), "an unlimited budget scores every hypothesis");
    found_.steps += scored.size();
    for (std::size_t k = 0; k < joint.size(); ++k) totals[joint[k]] = std::max(scored[k], kImpossible * static_cast<double>(columns_));
  }
  for (std::size_t i = 0; i < batch.size(); ++i) {
    keep(sets[i], found_.sets[batch[i].node].log_prior + log_odds_[batch[i].extra], totals[i], rows[i].data());
  }
  return true;
}

void Search::evaluate(const std::vector<Item>& batch) {
  const std::size_t first = found_.sets.size();
  std::vector<Item> order, meeting;
  for (const Item& item : batch) {
    if (meets(item.node, item.extra)) {
      meeting.push_back(item);
    } else {
      compose(item);
      order.push_back(item);
    }
  }
  if (!meeting.empty() && simulate(meeting)) {
    order.insert(order.end(), meeting.begin(), meeting.end());
  } else {
    for (const Item& item : meeting) leave_out(item);
  }
  for (std::size_t i = 0; i < order.size(); ++i) {
    for (std::size_t e = 0; e < columns_; ++e) node_touch_.push_back(touched(order[i].node, e) || reaches(order[i].extra, e));
  }
  for (std::size_t node = first; node < found_.sets.size(); ++node) queue_node(node);
}

bool Search::gains(std::size_t set, std::size_t subset) const {
  for (std::size_t e = 0; e < columns_; ++e) {
    if (row(set)[e] - row(subset)[e] >= options_.least_gain) return true;
  }
  return false;
}

/// What the sets left out weigh on average, as a multiple of what was expected of them; the sample is kept among the found sets.
double Search::weigh_sample() {
  const std::vector<Item> items = sample_.items();
  budget_ = StepBudget(std::numeric_limits<std::uint64_t>::max());  // bounded by the size of the sample
  std::unordered_set<Hypothesis, HypothesisHash> known;
  for (const Explained& set : found_.sets) known.insert(set.hypothesis);
  double sum = 0;
  std::vector<Item> order, meeting;
  for (const Item& item : items) {
    if (known.insert(found_.sets[item.node].hypothesis.with(relevant_[item.extra])).second) (meets(item.node, item.extra) ? meeting : order).push_back(item);
  }
  const std::size_t first = found_.sets.size();
  for (const Item& item : order) compose(item);
  if (!meeting.empty() && simulate(meeting)) order.insert(order.end(), meeting.begin(), meeting.end());
  for (std::size_t i = 0; i < order.size(); ++i) {
    // A harmless extra belongs to its core, which is counted already.
    if (gains(first + i, order[i].node) && gains(first + i, order[i].extra + 1)) sum += relative(found_.sets[first + i].weight()) / relative(order[i].key);
  }
  return order.empty() ? 1 : sum / static_cast<double>(order.size());
}

/// What is still in line was not looked at.
void Search::close() {
  while (!queue_.empty()) {
    leave_out(queue_.top());
    queue_.pop();
  }
  // A node's own figure is optimistic; the nodes that were extended tell by how much.
  const double kept = promised_ > 0 ? std::min(1.0, delivered_ / promised_) : std::exp(kSurprise);
  left_nodes_ *= kept;
  if ((left_nodes_ + left_sets_) * std::exp(reference_ - log_found_) > kWorthSampling) {
    const double ratio = weigh_sample();
    left_nodes_ *= ratio;
    left_sets_ *= ratio;
  }
  const double scale = std::exp(reference_ - log_found_);
  found_.scale = log_found_;
  found_.unsearched_estimate = (left_nodes_ + left_sets_) * scale;
  found_.unsearched_bound = left_bound_ * scale;
  found_.bound_holds = proven_;
}

Found Search::run() {
  seed();
  group_alike();
  reference_ = log_found_;
  for (const std::uint32_t single : partial_) queue_node(single + 1);
  while (!queue_.empty() && !budget_.spent() && queue_.top().key >= cut()) {
    if (queue_.top().extra == kWholeNode) {
      const Item item = queue_.top();
      queue_.pop();
      extend(item);
      continue;
    }
    std::vector<Item> batch;
    while (!queue_.empty() && batch.size() < kBatch && queue_.top().extra != kWholeNode && queue_.top().key >= cut()) {
      batch.push_back(queue_.top());
      queue_.pop();
    }
    evaluate(batch);
  }
  close();
  return std::move(found_);
}

}  // namespace

Found search(const Scores& scores, const RankOptions& options) { return Search(scores, options).run(); }

}  // namespace halfsplit::infer
