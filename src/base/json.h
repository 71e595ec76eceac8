// base/json.h - JSON as a plain value: keys keep their order, numbers print shortest round-trip. nlohmann stays in json.cpp.
//
// Errors:   parse_json(): depth over 64, duplicate keys, invalid UTF-8, trailing text: bad_input with line and column.
//           dump(): NaN or infinity is a broken promise (write null on purpose instead); invalid UTF-8 is replaced.
#pragma once
#include <concepts>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "base/result.h"

namespace halfsplit {

class Json {
 public:
  using Array = std::vector<Json>;
  using Object = std::vector<std::pair<std::string, Json>>;
  Json() = default;  ///< null
  template <std::same_as<bool> T>
  Json(T value) : value_(static_cast<bool>(value)) {}
  /// Any integer type; it must fit 64 bits with sign.
  template <std::integral T>
    requires(!std::same_as<T, bool> && !std::same_as<T, char>)
  Json(T value) : value_(static_cast<std::int64_t>(value)) {
    HS_REQUIRE(std::in_range<std::int64_t>(value), "a JSON integer fits 64 bits with sign");
  }
  Json(double value) : value_(value) {}
  Json(const char* value) : value_(std::string(value)) {}
  Json(std::string value) : value_(std::move(value)) {}
  Json(std::string_view value) : value_(std::string(value)) {}
  Json(Array value) : value_(std::move(value)) {}
  Json(Object value) : value_(std::move(value)) {}
  static Json array() { return Json(Array{}); }
  static Json object() { return Json(Object{}); }
  bool is_null() const { return value_.index() == 0; }
  const bool* boolean() const { return std::get_if<bool>(&value_); }
  const std::int64_t* integer() const { return std::get_if<std::int64_t>(&value_); }
  const double* real() const { return std::get_if<double>(&value_); }
  const std::string* text() const { return std::get_if<std::string>(&value_); }
  const Array* items() const { return std::get_if<Array>(&value_); }
  const Object* members() const { return std::get_if<Object>(&value_); }
  /// Appends to an array (null becomes an array first).
  void push(Json item);
  /// Appends a member to an object (null becomes an object first). Keys are the caller's to keep unique.
  Json& set(std::string key, Json value);
  /// Member by key or nullptr.
  const Json* find(std::string_view key) const;
  std::string dump(int indent = 2) const;

 private:
  std::variant<std::monostate, bool, std::int64_t, double, std::string, Array, Object> value_;
};

Result<Json> parse_json(std::string_view text, const std::string& file = {});

}  // namespace halfsplit
