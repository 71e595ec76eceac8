#include "base/document.h"

#include <algorithm>
#include <optional>
#include <toml++/toml.h>

#include "base/scan.h"
#include "base/text.h"

static_assert(TOML_HEADER_ONLY == 0, "the parser must come from the shared library: compiled inline without NDEBUG it aborts on bad input");

namespace halfsplit {

namespace {

/// toml++ values into ours; the first value we have no kind for ends it.
class Conversion {
 public:
  explicit Conversion(const std::string& file) : file_(file) {}

  Node node(const toml::node& from) {
    Node out;
    out.place = place(from.source());
    switch (from.type()) {
      case toml::node_type::table: fill_table(*from.as_table(), out); break;
      case toml::node_type::array: fill_array(*from.as_array(), out); break;
      case toml::node_type::string:
        out.kind = Node::Kind::text;
        out.text = from.as_string()->get();
        break;
      case toml::node_type::integer:
        out.kind = Node::Kind::integer;
        out.integer = from.as_integer()->get();
        out.real = static_cast<double>(out.integer);
        break;
      case toml::node_type::floating_point:
        out.kind = Node::Kind::real;
        out.real = from.as_floating_point()->get();
        break;
      case toml::node_type::boolean:
        out.kind = Node::Kind::boolean;
        out.boolean = from.as_boolean()->get();
        break;
      default:
        if (!error_) error_ = bad_input("dates and times are not used in these files", out.place, "write it as text in double quotes");
    }
    return out;
  }
  const std::optional<Error>& error() const { return error_; }

 private:
  Place place(const toml::source_region& region) const { return Place{file_, region.begin.line, region.begin.column}; }

  void fill_array(const toml::array& from, Node& out) {
    out.kind = Node::Kind::array;
    out.items.reserve(from.size());
    for (const toml::node& item : from) out.items.push_back(node(item));
  }

  void fill_table(const toml::table& from, Node& out) {
    out.kind = Node::Kind::table;
    out.members.reserve(from.size());
    for (const auto& [key, value] : from) out.members.push_back({std::string(key.str()), place(key.source()), node(value)});
    const auto earlier = [](const Member& a, const Member& b) {
      return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
    };
    std::stable_sort(out.members.begin(), out.members.end(), earlier);
  }

  const std::string& file_;
  std::optional<Error> error_;
};

std::string sentence(std::string_view description) {
  std::string out(description);
  for (char& c : out)
    if (static_cast<unsigned char>(c) < ' ') c = ' ';
  return out;
}

}  // namespace

const Node* Node::find(std::string_view key) const {
  for (const Member& member : members)
    if (member.key == key) return &member.value;
  return nullptr;
}

const char* name_of(Node::Kind kind) noexcept {
  switch (kind) {
    case Node::Kind::table: return "a table";
    case Node::Kind::array: return "a list";
    case Node::Kind::text: return "a text";
    case Node::Kind::integer: return "a whole number";
    case Node::Kind::real: return "a number";
    case Node::Kind::boolean: break;
  }
  return "true or false";
}

Result<Node> parse_document(std::string_view text, const std::string& file) {
  if (starts_with(text, "\xef\xbb\xbf")) text.remove_prefix(3);  // a byte order mark, as some editors write it
  if (Status status = scan_document(text, file); !status.ok()) return status.error();
  try {
    const toml::table table = toml::parse(text, file);
    Conversion conversion(file);
    Node root = conversion.node(table);
    if (conversion.error()) return *conversion.error();
    root.place = Place{file, 1, 1};
    return root;
  } catch (const toml::parse_error& error) {
    const toml::source_position at = error.source().begin;
    return bad_input(sentence(error.description()), Place{file, at.line, at.column});
  }
}

Result<Node> read_document(const std::string& path) {
  const Result<std::string> text = read_file(path);
  if (!text.ok()) return text.error();
  return parse_document(text.value(), path);
}

}  // namespace halfsplit
