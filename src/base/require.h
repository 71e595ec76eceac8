// base/require.h - HS_REQUIRE: a promise between modules, checked in every build; a broken one is our bug (exit 70).
#pragma once
namespace halfsplit {
/// Prints what broke to stderr and ends the process with exit code 70.
[[noreturn]] void promise_broken(const char* condition, const char* why, const char* file, int line);
}  // namespace halfsplit
#define HS_REQUIRE(condition, why) \
  ((condition) ? static_cast<void>(0) : ::halfsplit::promise_broken(#condition, why, __FILE__, __LINE__))
