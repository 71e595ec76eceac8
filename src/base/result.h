// base/result.h - a value or an Error with a place and a hint; how bad input is reported everywhere.
//
// Errors:   four kinds, never mixed: bad input = Result; broken promise = HS_REQUIRE; inner invariant = assert; "I do not know" = a value.
// Owns:     strings by value; copying an Error copies its text.
// Start at: Result<T>::ok(), bad_input(), Errors (readers collect up to 20).
#pragma once
#include <cstdint>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/require.h"

namespace halfsplit {

enum class ErrorCode { bad_input, usage, not_found, store, needs_confirmation, internal };

/// Process exit code for a failure: usage 2, bad_input 3, store 4, not_found 5, needs_confirmation 6, internal 70.
int exit_code(ErrorCode code) noexcept;
/// Stable word for JSON, e.g. "bad_input".
const char* name_of(ErrorCode code) noexcept;

/// Where in a text the error is. Lines and columns count from 1 (columns in code points); 0 means "not known".
struct Place {
  std::string file;
  std::uint32_t line = 0;
  std::uint32_t column = 0;
  bool known() const noexcept { return !file.empty() || line != 0; }
  /// "file:line:column", leaving out what is not known.
  std::string text() const;
  friend bool operator==(const Place&, const Place&) = default;
};

struct Error {
  ErrorCode code = ErrorCode::internal;
  std::string message;  ///< one sentence, says what is wrong
  Place place;
  std::string hint;  ///< how to do it right; may be empty
  /// "place: message (hint)".
  std::string text() const;
};

// Small factories: g++ 12 -O3 warns falsely on an inline Error{}.
Error bad_input(std::string message, Place place = {}, std::string hint = {});
Error usage(std::string message, std::string hint = {});
Error not_found(std::string message, std::string hint = {});
Error store_trouble(std::string message, std::string hint = {});
Error needs_confirmation(std::string message, std::string hint = {});

/// A value of T, or an Error. Misuse (value() of an error) stops the program through HS_REQUIRE.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}
  bool ok() const noexcept { return state_.index() == 0; }
  explicit operator bool() const noexcept { return ok(); }
  T& value() & { HS_REQUIRE(ok(), "value() of a failed Result"); return std::get<0>(state_); }
  const T& value() const& { HS_REQUIRE(ok(), "value() of a failed Result"); return std::get<0>(state_); }
  T&& value() && { HS_REQUIRE(ok(), "value() of a failed Result"); return std::get<0>(std::move(state_)); }
  const Error& error() const& { HS_REQUIRE(!ok(), "error() of a good Result"); return std::get<1>(state_); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }

 private:
  std::variant<T, Error> state_;
};

struct Done {};
/// For calls that only succeed or fail: `return Done{};`
using Status = Result<Done>;

/// Collects up to 20 errors of one reader; further ones are counted, not kept.
class Errors {
 public:
  static constexpr std::size_t kMost = 20;
  void add(Error error);
  bool empty() const noexcept { return count_ == 0; }
  std::size_t count() const noexcept { return count_; }
  const std::vector<Error>& list() const noexcept { return list_; }
  /// First error, its message carrying all others on lines of their own. Needs !empty().
  Error joined() const;

 private:
  std::vector<Error> list_;
  std::size_t count_ = 0;
};

}  // namespace halfsplit
