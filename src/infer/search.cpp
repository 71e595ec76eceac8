#include "infer/search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <queue>
#include <unordered_set>

#include "base/require.h"

namespace halfsplit::infer {
namespace {

using fault::FaultId;
using fault::Hypothesis;

constexpr double kNever = -std::numeric_limits<double>::infinity();
/// Chance that two faults together explain a reading that neither explains alone.
const double kSurprise = std::log(0.01);
constexpr std::size_t kBatch = 64;
constexpr std::uint32_t kWholeNode = std::numeric_limits<std::uint32_t>::max();

double log_add(double a, double b) {
  if (a < b) std::swap(a, b);
  return b == kNever ? a : a + std::log1p(std::exp(b - a));
}

struct HypothesisHash {
  std::size_t operator()(const Hypothesis& hypothesis) const noexcept {
    std::uint64_t hash = 0xcbf29ce484222325ull;
    for (const FaultId fault : hypothesis) hash = (hash ^ fault.index()) * 0x100000001b3ull;
    return static_cast<std::size_t>(hash ^ (hash >> 29));
  }
};

/// Something still to do: extend a node, or score the node with one fault more.
struct Item {
  double key = 0;            ///< log of the weight expected there
  double bound = 0;          ///< log of the weight possible there
  std::uint32_t node = 0;
  std::uint32_t extra = kWholeNode;  ///< index of the relevant fault
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

  void seed();
  void queue_node(std::size_t node);
  void extend(const Item& item);
  Gain gain(std::size_t node, std::size_t extra) const;
  bool excluded(const Hypothesis& hypothesis, std::size_t extra) const;
  void leave_out(const Item& item);
  void evaluate(const std::vector<Item>& batch);
  void compose(const Item& item);
  bool meets(std::size_t node, std::size_t extra) const;
  bool simulate(const std::vector<Item>& batch);
  void keep(const Hypothesis& hypothesis, double log_prior, double log_likelihood, const double* row);
  void close();

  const double* row(std::size_t node) const { return found_.rows.data() + node * columns_; }
  bool touched(std::size_t node, std::size_t column) const { return node_touch_[node * columns_ + column] != 0; }
  bool reaches(std::size_t extra, std::size_t column) const { return touch_[extra * columns_ + column] != 0; }
  double cut() const { return log_found_ + log_stop_; }
  /// Log of the highest weight that any superset of the node can have, without the odds of its additions.
  double ceiling(std::size_t node) const { return found_.sets[node].log_prior + best_total_; }

  const Scores& scores_;
  const RankOptions& options_;
  const std::size_t columns_;
  std::vector<FaultId> relevant_;
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
  Found found_;
  double log_found_ = kNever, log_stop_ = kNever;
  double best_total_ = 0, max_log_odds_ = kNever, odds_sum_ = 0;
  double log_left_nodes_ = kNever, log_left_sets_ = kNever, log_left_bound_ = kNever;
  double log_promised_ = kNever, log_delivered_ = kNever;  ///< of the nodes extended
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
  for (const FaultId fault : relevant_) {
    const fault::Fault& described = scores.predictor().catalogue().fault(fault);
    site_.push_back(sites.emplace(described.site, static_cast<std::uint32_t>(sites.size())).first->second);
    log_odds_.push_back(scores.priors().log_odds[fault.index()]);
    max_log_odds_ = std::max(max_log_odds_, log_odds_.back());
    odds_sum_ += std::exp(log_odds_.back());
    for (std::size_t e = 0; e < columns_; ++e) {
      touch_.push_back(scores.touches(fault, e));
      top_[e] = std::max(top_[e], scores.single(fault, e));
    }
  }
  site_count_ = sites.size();
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
  bool asked = false;
  for (std::size_t e = 0; e < columns_; ++e) {
    const double now = row(node)[e];
    expected += std::max(0.0, std::max(top_[e], best_[e] + kSurprise) - now);
    asked = asked || best_[e] - now >= options_.least_gain;
  }
  if (!asked || set.hypothesis.size() == site_count_) return;
  const Item item{set.weight() + expected + max_log_odds_, ceiling(node) + std::log(std::expm1(odds_sum_)), static_cast<std::uint32_t>(node), kWholeNode};
  if (set.hypothesis.size() >= options_.max_faults || item.key < cut()) {
    leave_out(item);
  } else {
    queue_.push(item);
  }
}

void Search::leave_out(const Item& item) {
  double& sum = item.extra == kWholeNode ? log_left_nodes_ : log_left_sets_;
  sum = log_add(sum, item.key);
  log_left_bound_ = log_add(log_left_bound_, item.bound);
}

bool Search::excluded(const Hypothesis& hypothesis, std::size_t extra) const {
  if (hypothesis.holds(relevant_[extra])) return true;
  const std::size_t node_site = site_[extra];
  for (const FaultId member : hypothesis) {
    const auto place = std::lower_bound(relevant_.begin(), relevant_.end(), member);
    if (site_[static_cast<std::size_t>(place - relevant_.begin())] == node_site) return true;
  }
  return false;
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

void Search::extend(const Item& item) {
  const std::size_t node = item.node;
  const Explained set = found_.sets[node];
  budget_.take(1 + relevant_.size() * columns_ / 8192);
  double delivered = kNever;
  const double deeper = std::log(std::expm1(odds_sum_));
  for (std::size_t extra = 0; extra < relevant_.size(); ++extra) {
    const Gain more = gain(node, extra);
    if (!more.asked || excluded(set.hypothesis, extra)) continue;
    const double base = set.weight() + log_odds_[extra];
    // What lies deeper than this set is covered by the ceiling of its own node.
    const Item next{base + more.expected, log_add(base + more.possible, ceiling(node) + log_odds_[extra] + deeper), item.node, static_cast<std::uint32_t>(extra)};
    delivered = log_add(delivered, next.key);
    if (next.key < cut()) {
      leave_out(next);
    } else if (seen_.insert(set.hypothesis.with(relevant_[extra])).second) {
      queue_.push(next);
    }
  }
  log_promised_ = log_add(log_promised_, item.key);
  log_delivered_ = log_add(log_delivered_, delivered);
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
    const auto scored = scores_.predictor().score_each(concerned, pieces, budget_);
    found_.steps += scored.size();
    if (scored.size() < concerned.size()) return false;
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
    const std::vector<double> scored = scores_.predictor().score(concerned, scores_.evidence(), budget_);
    found_.steps += scored.size();
    if (scored.size() < concerned.size()) return false;
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

/// What is still in line was not looked at.
void Search::close() {
  while (!queue_.empty()) {
    leave_out(queue_.top());
    queue_.pop();
  }
  found_.scale = log_found_;
  // The key of a node is optimistic; the nodes that were extended tell by how much.
  const double kept = log_promised_ == kNever ? kSurprise : std::min(0.0, log_delivered_ - log_promised_);
  found_.unsearched_estimate = std::exp(std::min(log_add(log_left_nodes_ + kept, log_left_sets_) - log_found_, 300.0));
  found_.unsearched_bound = std::exp(std::min(log_left_bound_ - log_found_, 300.0));
  found_.bound_holds = proven_;
}

Found Search::run() {
  seed();
  for (std::size_t node = 1; node < found_.sets.size(); ++node) queue_node(node);
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
