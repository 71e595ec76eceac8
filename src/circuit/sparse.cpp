#include "circuit/sparse.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace halfsplit::circuit {
namespace {

constexpr double kLeastPivot = 1e-16;  ///< siemens: a millionth of the leak that every node has

/// Rows in the order of elimination, each with the later rows that it touches, fill-in included.
struct Elimination {
  std::vector<std::uint32_t> order;
  std::vector<std::vector<std::uint32_t>> later;
};

Elimination eliminate(std::size_t size, const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs) {
  std::vector<std::vector<std::uint32_t>> next(size);
  for (const auto& [a, b] : pairs) {
    if (a == b) continue;
    next[a].push_back(b);
    next[b].push_back(a);
  }
  std::set<std::pair<std::size_t, std::uint32_t>> queue;
  for (std::uint32_t i = 0; i < size; ++i) {
    std::sort(next[i].begin(), next[i].end());
    next[i].erase(std::unique(next[i].begin(), next[i].end()), next[i].end());
    queue.insert({next[i].size(), i});
  }
  Elimination out;
  out.later.resize(size);
  std::vector<std::uint32_t> merged;
  while (!queue.empty()) {
    const std::uint32_t pivot = queue.begin()->second;
    queue.erase(queue.begin());
    out.order.push_back(pivot);
    const std::vector<std::uint32_t> around = std::move(next[pivot]);
    for (const std::uint32_t row : around) {
      queue.erase({next[row].size(), row});
      merged.clear();
      std::set_union(next[row].begin(), next[row].end(), around.begin(), around.end(), std::back_inserter(merged));
      merged.erase(std::remove_if(merged.begin(), merged.end(), [&](std::uint32_t each) { return each == row || each == pivot; }), merged.end());
      next[row] = merged;
      queue.insert({next[row].size(), row});
    }
    out.later[pivot] = around;
  }
  return out;
}

}  // namespace

Pattern::Pattern(std::size_t size, const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs) {
  Elimination found = eliminate(size, pairs);
  order_ = std::move(found.order);
  step_of_.resize(size);
  for (std::uint32_t k = 0; k < size; ++k) step_of_[order_[k]] = k;
  for (std::uint32_t k = 0; k < size; ++k) diagonal_.push_back(static_cast<Position>(places_++));
  first_.push_back(0);
  for (std::uint32_t k = 0; k < size; ++k) {
    std::vector<std::uint32_t> steps;
    for (const std::uint32_t row : found.later[order_[k]]) steps.push_back(step_of_[row]);
    std::sort(steps.begin(), steps.end());
    for (const std::uint32_t step : steps) {
      entries_.push_back({step, static_cast<Position>(places_), static_cast<Position>(places_ + 1)});
      places_ += 2;
    }
    first_.push_back(static_cast<std::uint32_t>(entries_.size()));
  }
  for (std::uint32_t k = 0; k < size; ++k)
    for (std::uint32_t i = first_[k]; i < first_[k + 1]; ++i)
      for (std::uint32_t j = first_[k]; j < first_[k + 1]; ++j)
        targets_.push_back(at(order_[entries_[i].step], order_[entries_[j].step]));
  scratch_.resize(size);
}

Pattern::Position Pattern::at(std::uint32_t row, std::uint32_t column) const {
  const std::uint32_t r = step_of_[row], c = step_of_[column];
  if (r == c) return diagonal_[r];
  const std::uint32_t k = std::min(r, c), wanted = std::max(r, c);
  const auto from = entries_.begin() + first_[k], to = entries_.begin() + first_[k + 1];
  const auto it = std::lower_bound(from, to, wanted, [](const Entry& entry, std::uint32_t step) { return entry.step < step; });
  if (it == to || it->step != wanted) return kNowhere;
  return r > c ? it->lower : it->upper;
}

bool Pattern::factor(std::vector<double>& a) const {
  const Position* target = targets_.data();
  for (std::size_t k = 0; k < size(); ++k) {
    const double pivot = a[diagonal_[k]];
    if (!(std::abs(pivot) > kLeastPivot) || !std::isfinite(pivot)) return false;
    const double inverse = 1 / pivot;
    a[diagonal_[k]] = inverse;
    const Entry *from = entries_.data() + first_[k], *to = entries_.data() + first_[k + 1];
    for (const Entry* i = from; i != to; ++i) {
      const double share = a[i->lower] * inverse;
      a[i->lower] = share;
      if (share == 0) {
        target += to - from;
        continue;
      }
      for (const Entry* j = from; j != to; ++j) a[*target++] -= share * a[j->upper];
    }
  }
  return true;
}

void Pattern::solve(const std::vector<double>& f, std::vector<double>& x) const {
  std::vector<double>& y = scratch_;
  for (std::size_t k = 0; k < size(); ++k) y[k] = x[order_[k]];
  for (std::size_t k = 0; k < size(); ++k)
    for (std::uint32_t e = first_[k]; e < first_[k + 1]; ++e) y[entries_[e].step] -= f[entries_[e].lower] * y[k];
  for (std::size_t k = size(); k-- > 0;) {
    double sum = y[k];
    for (std::uint32_t e = first_[k]; e < first_[k + 1]; ++e) sum -= f[entries_[e].upper] * y[entries_[e].step];
    y[k] = sum * f[diagonal_[k]];
  }
  for (std::size_t k = 0; k < size(); ++k) x[order_[k]] = y[k];
}

void Pattern::solve_transposed(const std::vector<double>& f, std::vector<double>& x) const {
  std::vector<double>& y = scratch_;
  for (std::size_t k = 0; k < size(); ++k) y[k] = x[order_[k]];
  for (std::size_t k = 0; k < size(); ++k) {
    y[k] *= f[diagonal_[k]];
    for (std::uint32_t e = first_[k]; e < first_[k + 1]; ++e) y[entries_[e].step] -= f[entries_[e].upper] * y[k];
  }
  for (std::size_t k = size(); k-- > 0;)
    for (std::uint32_t e = first_[k]; e < first_[k + 1]; ++e) y[k] -= f[entries_[e].lower] * y[entries_[e].step];
  for (std::size_t k = 0; k < size(); ++k) x[order_[k]] = y[k];
}

}  // namespace halfsplit::circuit
