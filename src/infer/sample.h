// infer/sample.h - what the search still has to do, and a sample of what it left out, drawn in proportion to the weight expected there.
//
// Owns:     its items by value; the seed is fixed, so the same offers give the same sample.
// Cost:     an offer that cannot enter costs one subtraction.
// Start at: Sample::offer(), Sample::items().
#pragma once
#include <cmath>
#include <cstdint>
#include <limits>
#include <queue>
#include <utility>
#include <vector>

#include "base/random.h"

namespace halfsplit::infer {

inline constexpr std::size_t kSampled = 128;  ///< sets of the rest that are scored to correct its estimate
inline constexpr std::uint32_t kWholeNode = std::numeric_limits<std::uint32_t>::max();

/// Something still to do: extend a node, or score the node with one fault more.
struct Item {
  double key = 0;            ///< log of the weight expected there
  double bound = 0;          ///< weight possible there, relative to the singles
  std::uint32_t node = 0;
  std::uint32_t extra = kWholeNode;  ///< index of the relevant fault
};

/// A sample of what was left out, drawn in proportion to the weight expected there, with a fixed seed: every item has an exponential arrival time, the
/// earliest are kept; while none can enter, whole stretches of weight are passed over at once (Efraimidis and Spirakis 2006, algorithm A-ExpJ).
class Sample {
 public:
  void offer(const Item& item, double weight) {
    if (kept_.size() < kSampled) {
      keep(item, -std::log(1 - random_.uniform()) / weight);
      return;
    }
    passed_over_ -= weight;
    if (passed_over_ > 0) return;
    const double earlier = -std::expm1(-weight * kept_.top().first);  // chance to arrive before the last one kept
    kept_.pop();
    keep(item, -std::log1p(-random_.uniform() * earlier) / weight);
  }
  std::vector<Item> items() {
    std::vector<Item> out;
    for (; !kept_.empty(); kept_.pop()) out.push_back(kept_.top().second);
    return out;
  }

 private:
  using Ranked = std::pair<double, Item>;
  struct Lower {
    bool operator()(const Ranked& a, const Ranked& b) const { return a.first < b.first; }
  };
  void keep(const Item& item, double arrival) {
    kept_.push({arrival, item});
    if (kept_.size() == kSampled) passed_over_ = -std::log(1 - random_.uniform()) / kept_.top().first;
  }
  Random random_{1};
  std::priority_queue<Ranked, std::vector<Ranked>, Lower> kept_;
  double passed_over_ = 0;  ///< weight until the next one enters
};

}  // namespace halfsplit::infer
