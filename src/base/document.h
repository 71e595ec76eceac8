// base/document.h - a TOML text as a tree of values that know their place, and a strict reader over it.
//
// Shape:    Node = table | array | string | integer | real | boolean; tables keep the order of the file.
// Owns:     everything by value; no toml++ type leaves document.cpp.
// Errors:   syntax and depth (more than 32 segments or brackets), NUL bytes, dates, over 8 MiB: one Error with file:line:column; strict reading: Errors.
// Cost:     about 10 MB/s; text is checked by a pre-scan before the parser sees it.
// Start at: parse_document(), Fields.
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/file.h"
#include "base/result.h"

namespace halfsplit {

struct Member;

struct Node {
  enum class Kind { table, array, text, integer, real, boolean };
  Kind kind = Kind::table;
  Place place;
  std::string text;               ///< kind text
  std::int64_t integer = 0;       ///< kind integer
  double real = 0;                ///< kind real, and integer as real
  bool boolean = false;           ///< kind boolean
  std::vector<Node> items;        ///< kind array
  std::vector<Member> members;    ///< kind table, in file order
  /// Member by key, or nullptr.
  const Node* find(std::string_view key) const;
};
struct Member {
  std::string key;
  Place place;  ///< of the key
  Node value;
};
const char* name_of(Node::Kind kind) noexcept;

/// Parses TOML text; `file` only labels places.
Result<Node> parse_document(std::string_view text, const std::string& file);
/// Reads and parses a file; not_found when it can't be opened.
Result<Node> read_document(const std::string& path);

/// Strict access to one table: every key must be asked for; finish() reports what is left with "did you mean". All errors go to `errors`.
class Fields {
 public:
  Fields(const Node& table, Errors& errors);
  /// Each returns the value if present and of the right kind; a wrong kind is an error and reads as absent.
  std::optional<std::string> text(std::string_view key);
  std::optional<double> number(std::string_view key);         ///< integer or real, finite
  std::optional<std::int64_t> integer(std::string_view key);
  std::optional<bool> boolean(std::string_view key);
  std::optional<std::vector<std::string>> texts(std::string_view key);  ///< array of strings; one string counts as a list of one
  const Node* table(std::string_view key);
  const Node* array(std::string_view key);
  const Node* any(std::string_view key);
  /// As above, but absence is an error; returns an empty value then.
  std::string need_text(std::string_view key);
  double need_number(std::string_view key);
  /// `format = 1` must be there.
  void need_format(std::int64_t version);
  /// Reports unknown keys. Call last.
  void finish();
  const Place& place() const { return node_.place; }
  void fail(std::string message, const Place& place, std::string hint = {});

 private:
  const Node* take(std::string_view key);
  const Node& node_;
  Errors& errors_;
  std::vector<std::string> asked_;
};

}  // namespace halfsplit
