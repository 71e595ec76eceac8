#include <cmath>

#include "base/document.h"
#include "base/text.h"

namespace halfsplit {

Fields::Fields(const Node& table, Errors& errors) : node_(table), errors_(errors) {
  if (table.kind != Node::Kind::table) fail(std::string("a table is wanted here, this is ") + name_of(table.kind), table.place);
}

void Fields::fail(std::string message, const Place& place, std::string hint) {
  errors_.add(bad_input(std::move(message), place, std::move(hint)));
}

const Node* Fields::take(std::string_view key) {
  asked_.emplace_back(key);
  return node_.find(key);
}

const Node* Fields::any(std::string_view key) { return take(key); }

namespace {
std::string wrong_kind(std::string_view key, const char* wanted, const Node& node) {
  return std::string(key) + " must be " + wanted + ", this is " + name_of(node.kind);
}
}  // namespace

std::optional<std::string> Fields::text(std::string_view key) {
  const Node* node = take(key);
  if (!node) return std::nullopt;
  if (node->kind == Node::Kind::text) return node->text;
  fail(wrong_kind(key, "a text", *node), node->place, "put it in double quotes");
  return std::nullopt;
}

std::optional<double> Fields::number(std::string_view key) {
  const Node* node = take(key);
  if (!node) return std::nullopt;
  if (node->kind != Node::Kind::integer && node->kind != Node::Kind::real) {
    fail(wrong_kind(key, "a number", *node), node->place);
    return std::nullopt;
  }
  if (std::isfinite(node->real)) return node->real;
  fail(std::string(key) + " must be a finite number", node->place);
  return std::nullopt;
}

std::optional<std::int64_t> Fields::integer(std::string_view key) {
  const Node* node = take(key);
  if (!node) return std::nullopt;
  if (node->kind == Node::Kind::integer) return node->integer;
  fail(wrong_kind(key, "a whole number", *node), node->place);
  return std::nullopt;
}

std::optional<bool> Fields::boolean(std::string_view key) {
  const Node* node = take(key);
  if (!node) return std::nullopt;
  if (node->kind == Node::Kind::boolean) return node->boolean;
  fail(wrong_kind(key, "true or false", *node), node->place, "without quotes");
  return std::nullopt;
}

std::optional<std::vector<std::string>> Fields::texts(std::string_view key) {
  const Node* node = take(key);
  if (!node) return std::nullopt;
  if (node->kind == Node::Kind::text) return std::vector<std::string>{node->text};
  if (node->kind != Node::Kind::array) {
    fail(wrong_kind(key, "a list of texts", *node), node->place);
    return std::nullopt;
  }
  std::vector<std::string> out;
  for (const Node& item : node->items) {
    if (item.kind == Node::Kind::text) out.push_back(item.text);
    else fail(wrong_kind(key, "a list of texts", item), item.place, "put it in double quotes");
  }
  return out;
}

const Node* Fields::table(std::string_view key) {
  const Node* node = take(key);
  if (!node || node->kind == Node::Kind::table) return node;
  fail(wrong_kind(key, "a table", *node), node->place);
  return nullptr;
}

const Node* Fields::array(std::string_view key) {
  const Node* node = take(key);
  if (!node || node->kind == Node::Kind::array) return node;
  fail(wrong_kind(key, "a list", *node), node->place);
  return nullptr;
}

std::string Fields::need_text(std::string_view key) {
  std::optional<std::string> value = text(key);
  if (!value && !node_.find(key)) fail(std::string(key) + " is missing", node_.place);
  return value.value_or("");
}

double Fields::need_number(std::string_view key) {
  const std::optional<double> value = number(key);
  if (!value && !node_.find(key)) fail(std::string(key) + " is missing", node_.place);
  return value.value_or(0);
}

void Fields::need_format(std::int64_t version) {
  const std::string wanted = "format = " + std::to_string(version);
  const std::optional<std::int64_t> value = integer("format");
  if (!value && !node_.find("format")) fail("format is missing", node_.place, "write " + wanted + " as the first line");
  if (value && *value != version)
    fail("format " + std::to_string(*value) + " is not known here", node_.find("format")->place, "this program reads " + wanted);
}

void Fields::finish() {
  for (const Member& member : node_.members) {
    bool known = false;
    for (const std::string& asked : asked_) known = known || asked == member.key;
    if (known) continue;
    const std::optional<std::string> near = did_you_mean(member.key, asked_);
    fail("unknown key " + in_quotes(member.key), member.place,
         near ? "did you mean " + in_quotes(*near) + "?" : "known here: " + join(asked_, ", "));
  }
}

}  // namespace halfsplit
