// Any bytes: a value or a placed error; what was read prints to text that reads back to the same text.
#include "base/json.h"

#include "expect.h"

using namespace halfsplit;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Result<Json> parsed = parse_json(text, "fuzz.json");
  if (!parsed.ok()) {
    fuzz::expect_placed(parsed.error(), text);
    return 0;
  }
  const std::string printed = parsed->dump();
  const Result<Json> again = parse_json(printed);
  fuzz::expect(again.ok(), "what is printed can be read");
  fuzz::expect(again->dump() == printed, "what is read prints the same");
  return 0;
}
