// circuit/sparse.h - one pattern of nonzero places, factored once as a program of positions, then filled and solved many times.
//
// Idea:     node matrices of boards have a pattern symmetric about the diagonal and a diagonal that holds its own, so the order of elimination is
//           fixed once (least degree first) and no pivoting is done; what fills in is a place from the start. Factoring is then a list of
//           a[target] -= a[left] * a[right] over fixed positions.
// Source:   least degree: Tinney and Walker 1967.
// Shape:    rows and columns 0..size-1; a value array has places() numbers.
// Cost:     building O(fill squared) once; factor and solve O(program), no allocation.
// Threads:  solving uses room of its own in the Pattern: one thread each.
// Start at: Pattern, factor(), solve().
#pragma once
#include <cstdint>
#include <utility>
#include <vector>

namespace halfsplit::circuit {

class Pattern {
 public:
  using Position = std::uint32_t;
  Pattern() = default;
  /// `pairs`: places off the diagonal, either way round; the diagonal is always there.
  Pattern(std::size_t size, const std::vector<std::pair<std::uint32_t, std::uint32_t>>& pairs);
  std::size_t size() const { return order_.size(); }
  std::size_t places() const { return places_; }
  /// Position of (row, column); kNowhere when the pattern hasn't got it.
  static constexpr Position kNowhere = 0xffffffffu;
  Position at(std::uint32_t row, std::uint32_t column) const;
  Position diagonal(std::uint32_t row) const { return diagonal_[step_of_[row]]; }

  /// In place: `a` becomes its factors. False when a pivot is not a number, zero or lost in rounding.
  bool factor(std::vector<double>& a) const;
  /// Solves A x = b with the factors; `x` holds b and becomes x. By row.
  void solve(const std::vector<double>& factors, std::vector<double>& x) const;
  /// The same with A transposed.
  void solve_transposed(const std::vector<double>& factors, std::vector<double>& x) const;

 private:
  struct Entry { std::uint32_t step; Position lower, upper; };  ///< of pivot k: a later step i, places of (i, k) and (k, i)
  std::vector<std::uint32_t> order_, step_of_;  ///< row eliminated at a step; step of a row
  std::vector<std::uint32_t> first_;            ///< per step, into entries_; one more at the end
  std::vector<Entry> entries_;                  ///< sorted by step within a pivot
  std::vector<Position> diagonal_;              ///< by step
  std::vector<Position> targets_;               ///< per pivot: for each ordered pair (i, j) of its entries the place of (i, j)
  std::size_t places_ = 0;
  mutable std::vector<double> scratch_;
};

}  // namespace halfsplit::circuit
