// Any bytes: a tree or a placed error; members in file order; strict reading of whatever came out never trips.
#include "base/document.h"

#include "expect.h"

using namespace halfsplit;

namespace {

void walk(const Node& node) {
  Errors errors;
  Fields fields(node, errors);
  fields.need_format(1);
  fields.text("title");
  fields.number("volts");
  fields.texts("pins");
  fields.finish();
  if (!errors.empty()) fuzz::expect(!errors.joined().text().empty(), "errors can be shown");
  std::uint32_t line = 0, column = 0;
  for (const Member& member : node.members) {
    const bool later = member.place.line > line || (member.place.line == line && member.place.column >= column);
    fuzz::expect(later, "members keep the order of the file");
    line = member.place.line;
    column = member.place.column;
    walk(member.value);
  }
  for (const Node& item : node.items) walk(item);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Result<Node> parsed = parse_document(text, "fuzz.toml");
  if (parsed.ok()) walk(parsed.value());
  else fuzz::expect_placed(parsed.error(), text);
  return 0;
}
