#include "base/random.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

using namespace halfsplit;

TEST_CASE("the same seed gives the same numbers") {
  Random a(7), b(7), c(8);
  bool same = true, differ = false;
  for (int i = 0; i < 100; ++i) {
    const std::uint64_t drawn = a.next();
    same = same && drawn == b.next();
    differ = differ || drawn != c.next();
  }
  CHECK(same);
  CHECK(differ);
}

TEST_CASE("seed zero gives the published splitmix64 and xoshiro numbers") {
  // splitmix64 from 0 starts e220a8397b1dcdaf 6e789e6aa1b965f4 06c45d188009454f f88bb8a8724c81ec; the first output is rotl(s1 * 5, 7) * 9.
  const std::uint64_t s1 = 0x6e789e6aa1b965f4ull * 5;
  CHECK(Random(0).next() == ((s1 << 7) | (s1 >> 57)) * 9);
}

TEST_CASE("below covers its range evenly") {
  Random random(1);
  std::array<int, 6> counts{};
  for (int i = 0; i < 60000; ++i) ++counts.at(random.below(6));
  for (const int count : counts) CHECK(std::abs(count - 10000) < 500);
  CHECK(random.below(1) == 0);
}

TEST_CASE("uniform and normal have their moments") {
  Random random(2);
  double sum = 0, normal_sum = 0, normal_square = 0;
  for (int i = 0; i < 40000; ++i) {
    const double u = random.uniform();
    CHECK_UNARY(u >= 0 && u < 1);
    sum += u;
    const double n = random.normal();
    normal_sum += n;
    normal_square += n * n;
  }
  CHECK(std::abs(sum / 40000 - 0.5) < 0.01);
  CHECK(std::abs(normal_sum / 40000) < 0.02);
  CHECK(std::abs(normal_square / 40000 - 1) < 0.03);
}

TEST_CASE("content hash is FNV-1a") {
  CHECK(hex(content_hash("")) == "cbf29ce484222325");
  CHECK(hex(content_hash("a")) == "af63dc4c8601ec8c");
  CHECK(hex(content_hash("foobar")) == "85944171f73967e8");
  CHECK(content_hash("bar", content_hash("foo")) == content_hash("foobar"));
}
