// The generator is xoshiro256** 1.0 (Blackman and Vigna, "Scrambled linear pseudorandom number generators", 2018/2021), seeded by
// splitmix64 (Steele, Lea and Flood 2014) as its authors advise; both are small published recurrences, equal on every machine.
#include "base/random.h"

#include <bit>
#include <cmath>

#include "base/require.h"

namespace halfsplit {

Random::Random(std::uint64_t seed) {
  for (auto& word : state_) {
    seed += 0x9e3779b97f4a7c15ull;
    std::uint64_t mixed = seed;
    mixed = (mixed ^ (mixed >> 30)) * 0xbf58476d1ce4e5b9ull;
    mixed = (mixed ^ (mixed >> 27)) * 0x94d049bb133111ebull;
    word = mixed ^ (mixed >> 31);
  }
}

std::uint64_t Random::next() {
  const std::uint64_t result = std::rotl(state_[1] * 5, 7) * 9;
  const std::uint64_t shifted = state_[1] << 17;
  state_[2] ^= state_[0];
  state_[3] ^= state_[1];
  state_[1] ^= state_[2];
  state_[0] ^= state_[3];
  state_[2] ^= shifted;
  state_[3] = std::rotl(state_[3], 45);
  return result;
}

double Random::uniform() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }

std::uint64_t Random::below(std::uint64_t count) {
  HS_REQUIRE(count > 0, "below(0) has no answer");
  const std::uint64_t unfair = (0 - count) % count;  // 2^64 mod count: that many lowest values would be over-represented
  std::uint64_t drawn = next();
  while (drawn < unfair) drawn = next();
  return drawn % count;
}

double Random::normal() {
  for (;;) {
    const double x = 2 * uniform() - 1;
    const double y = 2 * uniform() - 1;
    const double square = x * x + y * y;
    if (square > 0 && square < 1) return x * std::sqrt(-2 * std::log(square) / square);
  }
}

std::uint64_t content_hash(std::string_view bytes, std::uint64_t start) {
  std::uint64_t hash = start;
  for (const char byte : bytes) hash = (hash ^ static_cast<unsigned char>(byte)) * 0x100000001b3ull;
  return hash;
}

std::string hex(std::uint64_t value) {
  std::string out(16, '0');
  for (std::size_t i = 16; i-- > 0; value >>= 4) out[i] = "0123456789abcdef"[value & 15];
  return out;
}

}  // namespace halfsplit
