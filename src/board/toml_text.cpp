#include "board/toml_text.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace halfsplit::board {

std::string toml_quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') { out += '\\'; out += c; }
    else if (c == '\n') out += "\\n";
    else if (c == '\t') out += "\\t";
    else if (byte < 0x20 || byte == 0x7f) out += fmt::format("\\u{:04x}", byte);
    else out += c;
  }
  return out + "\"";
}

std::string toml_key(std::string_view key) {
  const auto bare = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_'; };
  return !key.empty() && std::all_of(key.begin(), key.end(), bare) ? std::string(key) : toml_quoted(key);
}

std::string toml_number(double value) {
  HS_REQUIRE(std::isfinite(value), "only finite numbers are written");
  std::string text = fmt::format("{}", value);
  const bool whole = text.find_first_of(".e") == std::string::npos;
  return whole && text.size() > 15 ? text + ".0" : text;
}

std::string toml_list(const std::vector<std::string>& quoted_items, std::size_t width) {
  const std::string one_line = "[" + join(quoted_items, ", ") + "]";
  if (one_line.size() <= width || quoted_items.size() < 2) return one_line;
  std::string out = "[\n ", line;
  for (const std::string& item : quoted_items) {
    if (!line.empty() && line.size() + item.size() + 4 > width) {
      out += line + "\n ";
      line.clear();
    }
    line += " " + item + ",";
  }
  return out + line + "\n]";
}

namespace {

using DocumentNode = halfsplit::Node;

bool is_table_list(const DocumentNode& node) {
  const auto is_table = [](const DocumentNode& item) { return item.kind == DocumentNode::Kind::table; };
  return node.kind == DocumentNode::Kind::array && !node.items.empty() && std::all_of(node.items.begin(), node.items.end(), is_table);
}
bool stands_alone(const DocumentNode& node) { return node.kind == DocumentNode::Kind::table || is_table_list(node); }

std::string value_text(const DocumentNode& node) {
  switch (node.kind) {
    case DocumentNode::Kind::text: return toml_quoted(node.text);
    case DocumentNode::Kind::integer: return std::to_string(node.integer);
    case DocumentNode::Kind::boolean: return node.boolean ? "true" : "false";
    case DocumentNode::Kind::real: {
      const std::string text = toml_number(node.real);
      return text.find_first_of(".e") == std::string::npos ? text + ".0" : text;
    }
    case DocumentNode::Kind::array: {
      std::vector<std::string> items;
      for (const DocumentNode& item : node.items) items.push_back(value_text(item));
      return toml_list(items);
    }
    case DocumentNode::Kind::table: break;
  }
  std::vector<std::string> members;
  for (const Member& member : node.members) members.push_back(toml_key(member.key) + " = " + value_text(member.value));
  return members.empty() ? "{}" : "{ " + join(members, ", ") + " }";
}

void write_table(const DocumentNode& table, const std::string& path, std::string& out) {
  for (const Member& member : table.members)
    if (!stands_alone(member.value)) out += toml_key(member.key) + " = " + value_text(member.value) + "\n";
  for (const Member& member : table.members) {
    const std::string name = path + toml_key(member.key);
    if (member.value.kind == DocumentNode::Kind::table) {
      out += "\n[" + name + "]\n";
      write_table(member.value, name + ".", out);
    } else if (is_table_list(member.value)) {
      for (const DocumentNode& item : member.value.items) {
        out += "\n[[" + name + "]]\n";
        write_table(item, name + ".", out);
      }
    }
  }
}

}  // namespace

std::string toml_document(const DocumentNode& table) {
  std::string out;
  write_table(table, "", out);
  return out;
}

}  // namespace halfsplit::board
