// Which bits a memory test or a dump names, as probabilities.
//
// Idea:     known bits are told apart from each other; bits that may or may not fail share one cause, so patterns among them are none, one, all or
//           anything, a quarter each. A single wanted and got says for sure which bits differed, and of the rest only half: a stuck bit agrees by chance.
#include <algorithm>
#include <bit>
#include <cmath>

#include "fault/predictor.h"

namespace halfsplit::fault {
namespace {

constexpr float kOpenFrom = 0.25f, kOpenTo = 0.75f;
constexpr double kAgreesByChance = 0.5;

bool open(const Outcome& outcome, std::uint32_t bit) { return outcome.p[bit] > kOpenFrom && outcome.p[bit] < kOpenTo; }

double shown_probability(std::uint32_t failing, const Outcome& outcome) {
  double known = 1;
  std::uint32_t open_bits = 0;
  for (std::uint32_t bit = 0; bit < outcome.width; ++bit) {
    const bool fails = ((failing >> bit) & 1u) != 0;
    if (open(outcome, bit)) open_bits |= 1u << bit;
    else known *= fails ? outcome.p[bit] : 1 - outcome.p[bit];
  }
  const int count = std::popcount(open_bits);
  if (count == 0) return known;
  const std::uint32_t told = failing & open_bits;
  double pattern = 0.25 * std::pow(0.5, count);
  if (told == 0) pattern += 0.25;
  if (std::popcount(told) == 1) pattern += 0.25 / count;
  if (told == open_bits) pattern += 0.25;
  return known * pattern;
}

}  // namespace

double bits_probability(std::uint32_t failing, const Outcome& outcome) {
  const std::uint32_t all = outcome.width >= 32 ? observe::kAllBits : (1u << outcome.width) - 1;
  if (failing != observe::kAllBits && (failing & ~all) != 0) return 0;
  Outcome right = outcome;
  for (std::uint32_t bit = 0; bit < outcome.width; ++bit) right.p[bit] = std::min(outcome.p[bit], kToldWrongly);
  return (1 - outcome.no_report) * ((1 - outcome.missed) * shown_probability(failing & all, outcome) + outcome.missed * shown_probability(failing & all, right));
}

std::uint32_t likeliest_bits(const Outcome& outcome) {
  std::uint32_t out = 0;
  for (std::uint32_t bit = 0; bit < outcome.width; ++bit)
    if (outcome.p[bit] >= 0.5f) out |= 1u << bit;
  return out;
}

double sample_probability(std::uint32_t wanted, std::uint32_t got, const Outcome& outcome) {
  double out = 1 - outcome.no_report;
  for (std::uint32_t bit = 0; bit < outcome.width; ++bit) {
    const double fails = (1 - outcome.missed) * outcome.p[bit] + outcome.missed * std::min(outcome.p[bit], kToldWrongly);
    const bool differs = (((wanted ^ got) >> bit) & 1u) != 0;
    out *= differs ? fails * (1 - kAgreesByChance) : (1 - fails) + fails * kAgreesByChance;
  }
  return out;
}

}  // namespace halfsplit::fault
