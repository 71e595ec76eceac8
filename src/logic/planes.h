// logic/planes.h - what a node can be in each slot, as six bit planes; slots are the bits of a word, hypotheses lie side by side in the lanes of V.
//
// Idea:     a value is a *set* of possibilities: static low, static high, moving as on the healthy board, moving otherwise, driven by nobody, fought
//           over. One bit plane a possibility; gates work on sets, so "unknown" needs no case of its own.
// Cost:     a two-input gate is about 20 word operations for 64 slots of every lane.
// Tried:    one-hot values without sets (an unlisted fault could not be held); two values per cycle (every enable gated by the clock came out wrong).
#pragma once
#include <cstdint>

namespace halfsplit::logic {

using Word64 = std::uint64_t;
typedef std::uint64_t Lanes2 __attribute__((vector_size(16)));
typedef std::uint64_t Lanes8 __attribute__((vector_size(64)));

template <class V> inline constexpr std::uint32_t kLanes = sizeof(V) / sizeof(Word64);

/// Word number `i` of a lane vector.
template <class V> inline Word64 lane(const V& v, std::uint32_t i) { return v[i]; }
template <> inline Word64 lane(const Word64& v, std::uint32_t) { return v; }
template <class V> inline void set_lane(V& v, std::uint32_t i, Word64 word) { v[i] = word; }
template <> inline void set_lane(Word64& v, std::uint32_t, Word64 word) { v = word; }
/// Repeats the `words` words of one hypothesis over all lanes.
template <class V>
inline V repeated(const Word64* pattern, std::uint32_t words) {
  V out{};
  for (std::uint32_t i = 0; i < kLanes<V>; ++i) set_lane(out, i, pattern[i % words]);
  return out;
}

template <class V>
struct Planes {
  V low{}, high{}, right{}, wrong{}, none{}, fight{};
  V any() const { return low | high | right | wrong | none | fight; }
  V moving() const { return right | wrong; }
};

template <class V>
inline bool same(const V& a, const V& b);
template <>
inline bool same(const Word64& a, const Word64& b) { return a == b; }
template <>
inline bool same(const Lanes2& a, const Lanes2& b) {
  const Lanes2 x = a ^ b;
  return (x[0] | x[1]) == 0;
}
template <>
inline bool same(const Lanes8& a, const Lanes8& b) {
  const Lanes8 x = a ^ b;
  return (x[0] | x[1] | x[2] | x[3] | x[4] | x[5] | x[6] | x[7]) == 0;
}
template <class V>
inline bool is_zero(const V& a) { return same<V>(a, V{}); }
template <class V>
inline bool same(const Planes<V>& a, const Planes<V>& b) {
  return same<V>(((a.low ^ b.low) | (a.high ^ b.high) | (a.right ^ b.right) | (a.wrong ^ b.wrong) | (a.none ^ b.none) | (a.fight ^ b.fight)), V{});
}

template <class V>
inline V splat(Word64 word) { return V{} + word; }

template <class V>
inline Planes<V> splat(const Planes<Word64>& p) {
  return {splat<V>(p.low), splat<V>(p.high), splat<V>(p.right), splat<V>(p.wrong), splat<V>(p.none), splat<V>(p.fight)};
}

/// Takes `a` where `mask` is set, else `b`.
template <class V>
inline Planes<V> choose(const V& mask, const Planes<V>& a, const Planes<V>& b) {
  const V keep = ~mask;
  return {(a.low & mask) | (b.low & keep),     (a.high & mask) | (b.high & keep), (a.right & mask) | (b.right & keep),
          (a.wrong & mask) | (b.wrong & keep), (a.none & mask) | (b.none & keep), (a.fight & mask) | (b.fight & keep)};
}

/// All ones in every word of a hypothesis that has any bit set in any of its words.
inline Word64 anywhere(Word64 x, std::uint32_t) { return x ? ~Word64{0} : 0; }
inline Lanes2 anywhere(Lanes2 x, std::uint32_t words) {
  if (words == 2) x |= Lanes2{x[1], x[0]};
  return reinterpret_cast<Lanes2>(x != Lanes2{});
}
inline Lanes8 anywhere(Lanes8 x, std::uint32_t words) {
  if (words == 2) x |= Lanes8{x[1], x[0], x[3], x[2], x[5], x[4], x[7], x[6]};
  return reinterpret_cast<Lanes8>(x != Lanes8{});
}

/// What an input makes of a node: a floating or fought-over level is uncertain, never a level.
template <class V>
inline Planes<V> sensed(Planes<V> p) {
  const V unsure = p.none | p.fight;
  p.low |= unsure;
  p.high |= unsure;
  p.wrong |= unsure;
  p.none = V{};
  p.fight = V{};
  return p;
}

/// Where the value can be right, and where it can be wrong, compared with the healthy board's value.
template <class V>
struct Rightness { V right{}, wrong{}; };
template <class V>
inline Rightness<V> rightness(const Planes<V>& p, const Planes<V>& healthy) {
  return {p.right | (p.low & healthy.low) | (p.high & healthy.high) | (p.none & healthy.none),
          p.wrong | p.fight | (p.low & ~healthy.low) | (p.high & ~healthy.high) | (p.none & ~healthy.none)};
}

template <class V>
inline Planes<V> conjunction(const Planes<V>& a, const Planes<V>& ra, const Planes<V>& b, const Planes<V>& rb) {
  const V right_ha = a.high & ra.high, wrong_ha = a.high & ~ra.high, right_hb = b.high & rb.high, wrong_hb = b.high & ~rb.high;
  const V up_a = a.high | a.right | a.wrong, up_b = b.high | b.right | b.wrong;
  Planes<V> out;
  out.low = (a.low & b.any()) | (b.low & a.any());
  out.high = a.high & b.high;
  out.right = (a.right & b.right) | (a.right & right_hb) | (right_ha & b.right);
  out.wrong = (a.wrong & up_b) | (up_a & b.wrong) | (a.right & wrong_hb) | (wrong_ha & b.right);
  return out;
}
template <class V>
inline Planes<V> negation(Planes<V> p) {
  const V low = p.low;
  p.low = p.high;
  p.high = low;
  return p;
}
template <class V>
inline Planes<V> disjunction(const Planes<V>& a, const Planes<V>& ra, const Planes<V>& b, const Planes<V>& rb) {
  return negation(conjunction(negation(a), negation(ra), negation(b), negation(rb)));
}
template <class V>
inline Planes<V> exclusive(const Planes<V>& a, const Planes<V>& ra, const Planes<V>& b, const Planes<V>& rb) {
  const V right_a = (a.low & ra.low) | (a.high & ra.high), static_a = a.low | a.high;
  const V right_b = (b.low & rb.low) | (b.high & rb.high), static_b = b.low | b.high;
  Planes<V> out;
  out.low = (a.low & b.low) | (a.high & b.high);
  out.high = (a.low & b.high) | (a.high & b.low);
  out.right = (a.right & b.right) | (a.right & right_b) | (right_a & b.right);
  out.wrong = (a.wrong & b.any()) | (a.any() & b.wrong) | (a.right & (static_b & ~right_b)) | ((static_a & ~right_a) & b.right);
  // A static input whose healthy value is the other level inverts the moving one; one that is both can do either.
  out.wrong |= (a.right & b.low & ~rb.low) | (a.right & b.high & ~rb.high) | (b.right & a.low & ~ra.low) | (b.right & a.high & ~ra.high);
  return out;
}

/// Two strong drivers on one net. `low_wins`: bipolar outputs; otherwise the level is fought over.
template <class V>
inline Planes<V> resolved(const Planes<V>& a, const Planes<V>& b, bool low_wins) {
  const V move_a = a.right | a.wrong, move_b = b.right | b.wrong;
  const V driven_a = a.low | a.high | move_a | a.fight, driven_b = b.low | b.high | move_b | b.fight;
  Planes<V> out;
  out.none = a.none & b.none;
  out.low = (a.low & (b.none | b.low)) | (b.low & a.none);
  out.high = (a.high & (b.none | b.high)) | (b.high & a.none);
  out.right = (a.right & b.none) | (b.right & a.none);
  out.wrong = (a.wrong & b.none) | (b.wrong & a.none);
  out.fight = (a.fight & (b.none | driven_b)) | (b.fight & (a.none | driven_a));
  const V low_against = (a.low & (b.high | move_b)) | (b.low & (a.high | move_a));
  const V others = (a.high & move_b) | (b.high & move_a) | (move_a & move_b);
  if (low_wins) {
    out.low |= low_against;
    out.wrong |= others;
  } else {
    out.fight |= low_against | others;
  }
  return out;
}

/// Fills in where nobody drives.
template <class V>
inline Planes<V> backed_by(Planes<V> strong, const Planes<V>& weak) {
  const V open = strong.none;
  strong.none = open & weak.none;
  strong.low |= open & weak.low;
  strong.high |= open & weak.high;
  strong.right |= open & weak.right;
  strong.wrong |= open & weak.wrong;
  strong.fight |= open & weak.fight;
  return strong;
}

}  // namespace halfsplit::logic
