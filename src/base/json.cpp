#include "base/json.h"

#include <cmath>
#include <iterator>
#include <nlohmann/json.hpp>
#include <optional>
#include <unordered_set>

#include "base/scan.h"
#include "base/text.h"

namespace halfsplit {

void Json::push(Json item) {
  if (is_null()) value_ = Array{};
  HS_REQUIRE(std::holds_alternative<Array>(value_), "push() needs an array");
  std::get<Array>(value_).push_back(std::move(item));
}

Json& Json::set(std::string key, Json value) {
  if (is_null()) value_ = Object{};
  HS_REQUIRE(std::holds_alternative<Object>(value_), "set() needs an object");
  std::get<Object>(value_).emplace_back(std::move(key), std::move(value));
  return *this;
}

const Json* Json::find(std::string_view key) const {
  const Object* object = members();
  if (!object) return nullptr;
  for (const auto& [name, value] : *object)
    if (name == key) return &value;
  return nullptr;
}

namespace {

std::string scalar(const nlohmann::json& value) { return value.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace); }

class Writer {
 public:
  explicit Writer(int indent) : indent_(indent) {}

  void write(const Json& value) {
    if (const bool* flag = value.boolean()) out += *flag ? "true" : "false";
    else if (const std::int64_t* integer = value.integer()) out += std::to_string(*integer);
    else if (const double* real = value.real()) write_real(*real);
    else if (const std::string* text = value.text()) out += scalar(*text);
    else if (const Json::Array* items = value.items()) write_items(*items);
    else if (const Json::Object* members = value.members()) write_members(*members);
    else out += "null";
  }
  std::string out;

 private:
  void write_real(double real) {
    HS_REQUIRE(std::isfinite(real), "a JSON number must be finite: write null on purpose instead");
    out += scalar(real);
  }
  void write_items(const Json::Array& items) {
    if (items.empty()) { out += "[]"; return; }
    open('[');
    for (std::size_t i = 0; i < items.size(); ++i) {
      next_line(i > 0);
      write(items[i]);
    }
    close(']');
  }
  void write_members(const Json::Object& members) {
    if (members.empty()) { out += "{}"; return; }
    open('{');
    for (std::size_t i = 0; i < members.size(); ++i) {
      next_line(i > 0);
      out += scalar(members[i].first) + (indent_ < 0 ? ":" : ": ");
      write(members[i].second);
    }
    close('}');
  }
  void open(char bracket) {
    out += bracket;
    ++depth_;
  }
  void close(char bracket) {
    --depth_;
    next_line(false);
    out += bracket;
  }
  void next_line(bool after_another) {
    if (after_another) out += ',';
    if (indent_ < 0) return;
    out += '\n';
    out.append(static_cast<std::size_t>(indent_) * depth_, ' ');
  }

  int indent_;
  std::size_t depth_ = 0;
};

/// Walks the text for the parser and shows how far it has read, which its events do not tell.
class Cursor {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;
  Cursor(const char* at, std::size_t* read) : at_(at), read_(read) {}
  reference operator*() const { return *at_; }
  Cursor& operator++() {
    ++at_;
    ++*read_;
    return *this;
  }
  Cursor operator++(int) {
    Cursor before = *this;
    ++*this;
    return before;
  }
  friend bool operator==(const Cursor& a, const Cursor& b) { return a.at_ == b.at_; }

 private:
  const char* at_;
  std::size_t* read_;
};

/// Takes the parser's events; refuses depth and duplicate keys before any tree of the parser's own exists.
class Builder {
 public:
  Builder(std::string_view text, const std::string& file) : text_(text), file_(file) {}
  std::size_t read = 0;  ///< bytes the parser has taken
  std::optional<Error> error;
  Json root() { return std::move(root_); }

  bool null() { return put(Json()); }
  bool boolean(bool value) { return put(Json(value)); }
  bool number_integer(std::int64_t value) { return put(Json(value)); }
  bool number_unsigned(std::uint64_t value) {
    return put(std::in_range<std::int64_t>(value) ? Json(value) : Json(static_cast<double>(value)));
  }
  bool number_float(double value, const std::string&) { return put(Json(value)); }
  bool string(std::string& value) { return put(Json(std::move(value))); }
  bool binary(nlohmann::json::binary_t&) { return refuse("binary data has no place in JSON", {}); }
  bool start_object(std::size_t) { return open(Json::object()); }
  bool start_array(std::size_t) { return open(Json::array()); }
  bool end_object() { return close(); }
  bool end_array() { return close(); }
  bool key(std::string& name) {
    if (!open_.back().seen.insert(name).second) return refuse("the key " + in_quotes(name) + " is there twice", "keep one of them");
    open_.back().key = std::move(name);
    return true;
  }
  bool parse_error(std::size_t position, const std::string&, const nlohmann::json::exception& what) {
    // The library's text is "[json.exception.parse_error.101] parse error at line 1, column 2: reason": only the reason is ours to show.
    std::string reason = what.what();
    const std::size_t column = reason.find("column ");
    const std::size_t colon = column == std::string::npos ? column : reason.find(": ", column);
    if (colon != std::string::npos) reason.erase(0, colon + 2);
    else if (const std::size_t bracket = reason.find("] "); bracket != std::string::npos) reason.erase(0, bracket + 2);
    error = bad_input(reason, place_at(text_, std::min(position > 0 ? position - 1 : 0, text_.size()), file_));
    return false;
  }

 private:
  static constexpr std::size_t kMostDepth = 64;
  struct Level {
    Json container;
    std::string key;                       ///< of the member being read
    std::unordered_set<std::string> seen;  ///< keys of this object
  };

  bool put(Json value) {
    if (open_.empty()) root_ = std::move(value);
    else if (open_.back().container.members()) open_.back().container.set(std::move(open_.back().key), std::move(value));
    else open_.back().container.push(std::move(value));
    return true;
  }
  bool open(Json container) {
    if (open_.size() >= kMostDepth) return refuse("nested more than 64 deep", "no file of ours nests that deep");
    open_.push_back({std::move(container), {}, {}});
    return true;
  }
  bool close() {
    Json done = std::move(open_.back().container);
    open_.pop_back();
    return put(std::move(done));
  }
  bool refuse(std::string message, std::string hint) {
    error = bad_input(std::move(message), place_at(text_, read > 0 ? read - 1 : 0, file_), std::move(hint));
    return false;
  }

  std::string_view text_;
  const std::string& file_;
  Json root_;
  std::vector<Level> open_;
};

}  // namespace

std::string Json::dump(int indent) const {
  Writer writer(indent);
  writer.write(*this);
  return std::move(writer.out);
}

Result<Json> parse_json(std::string_view text, const std::string& file) {
  if (const std::size_t good = utf8_length(text); good < text.size())
    return bad_input("is not valid UTF-8 from here on", place_at(text, good, file), "save the file as UTF-8");
  Builder builder(text, file);
  const Cursor begin(text.data(), &builder.read), end(text.data() + text.size(), &builder.read);
  const bool good = nlohmann::json::sax_parse(begin, end, &builder);
  if (good && !builder.error) return builder.root();
  if (builder.error) return *builder.error;
  return bad_input("is not JSON", Place{file, 1, 1});
}

}  // namespace halfsplit
