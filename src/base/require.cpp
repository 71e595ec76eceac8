#include "base/require.h"

#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace halfsplit {

namespace {
/// The path from src/ on: where the program was built is of no use to its reader.
const char* inside_src(const char* file) {
  const char* found = file;
  for (const char* at = std::strstr(file, "src/"); at; at = std::strstr(at + 1, "src/")) found = at;
  return found;
}
}  // namespace

void promise_broken(const char* condition, const char* why, const char* file, int line) {
  std::fprintf(stderr, "halfsplit: internal error: %s (%s is false, %s:%d)\n", why, condition, inside_src(file), line);
  std::fflush(nullptr);
  std::_Exit(70);
}

}  // namespace halfsplit
