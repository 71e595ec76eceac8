// base/random.h - seeded random numbers, the same on every machine (xoshiro256**, Blackman and Vigna 2018; seeded by splitmix64).
#pragma once
#include <cstdint>
#include <string>
#include <string_view>

namespace halfsplit {

class Random {
 public:
  explicit Random(std::uint64_t seed);
  std::uint64_t next();
  /// Uniform in [0, 1).
  double uniform();
  /// Uniform in 0..count-1, unbiased. Needs count > 0.
  std::uint64_t below(std::uint64_t count);
  /// Normal, mean 0, deviation 1 (Marsaglia polar).
  double normal();
  bool chance(double probability) { return uniform() < probability; }

 private:
  std::uint64_t state_[4];
};

/// FNV-1a, 64 bit: content hashes of boards, parts and knowledge; not for security.
std::uint64_t content_hash(std::string_view bytes, std::uint64_t start = 0xcbf29ce484222325ull);
/// 16 lower-case hex digits.
std::string hex(std::uint64_t value);

}  // namespace halfsplit
