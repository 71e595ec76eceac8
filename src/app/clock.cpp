#include "app/clock.h"

#include <array>
#include <ctime>

namespace halfsplit::app {

std::string now(const Outside& outside) {
  if (const auto told = outside.variable("HALFSPLIT_NOW"); told && !told->empty()) return *told;
  const std::time_t seconds = std::time(nullptr);
  std::tm utc{};
  gmtime_r(&seconds, &utc);
  std::array<char, 32> text{};
  const std::size_t length = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%SZ", &utc);
  return std::string(text.data(), length);
}

}  // namespace halfsplit::app
