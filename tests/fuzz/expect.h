// fuzz/expect.h - what a reader promises, checked on every input: a broken promise ends the process loudly.
#pragma once
#include <cstdio>
#include <cstdlib>

#include "base/result.h"

namespace fuzz {

inline void expect(bool held, const char* promise) {
  if (held) return;
  std::fprintf(stderr, "broken promise: %s\n", promise);
  std::abort();
}

/// An error about a text names it, and the place lies within it.
inline void expect_placed(const halfsplit::Error& error, std::string_view text) {
  expect(error.code == halfsplit::ErrorCode::bad_input, "bad text is bad_input");
  expect(!error.message.empty(), "an error says what is wrong");
  std::size_t lines = 1;
  for (const char c : text) lines += c == '\n';
  expect(error.place.line <= lines, "an error's line is a line of the text");
}

}  // namespace fuzz
