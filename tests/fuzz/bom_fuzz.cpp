// Any bytes: a parts list with each reference once, or a placed error; what was read can be written and read back.
#include "netlist/bom.h"

#include "netlist_promises.h"

using namespace halfsplit;
using namespace halfsplit::netlist;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Result<Bom> bom = read_bom(text, "fuzz.csv");
  if (!bom.ok()) {
    fuzz::expect_placed_line(bom.error(), text);
    return 0;
  }
  for (const BomEntry& entry : bom->entries) {
    fuzz::expect(!entry.ref.empty(), "an entry has a reference");
    fuzz::expect(bom->find(entry.ref) == &entry, "an entry is found by its reference");
  }
  const Result<Bom> again = read_bom(write_bom(bom->entries), "again.csv");
  fuzz::expect(again.ok(), "what is written can be read");
  for (const BomEntry& entry : bom->entries) {
    const BomEntry* same = again->find(entry.ref);
    // a reference like "J1-2" is spelled out when no quantity speaks against it
    if (same == nullptr) continue;
    fuzz::expect(same->value == entry.value, "values stay");
  }
  return 0;
}
