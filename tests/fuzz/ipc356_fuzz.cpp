// Any bytes: a netlist that holds together, or a placed error; what was read can be written and read back with the same groups of pins.
#include "netlist/ipc356.h"

#include "netlist/write_ipc356.h"
#include "netlist_promises.h"

using namespace halfsplit;
using namespace halfsplit::netlist;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Result<Netlist> netlist = read_ipc356(text, "fuzz.ipc");
  if (!netlist.ok()) {
    fuzz::expect_placed_line(netlist.error(), text);
    return 0;
  }
  fuzz::expect_whole(*netlist);
  if (netlist->parts.empty()) return 0;
  const Result<Netlist> again = read_ipc356(write_ipc356(*netlist), "again.ipc");
  fuzz::expect(again.ok(), "what is written can be read");
  fuzz::expect(again->pin_count() == netlist->pin_count(), "no pin is lost");
  fuzz::expect(fuzz::groups(*again) == fuzz::groups(*netlist), "the groups of pins stay");
  return 0;
}
