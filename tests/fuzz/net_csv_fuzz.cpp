// Any bytes: a netlist that holds together, or a placed error; what was read can be written and read back with the same number of pins.
#include "netlist/net_csv.h"

#include "netlist_promises.h"

using namespace halfsplit;
using namespace halfsplit::netlist;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const Result<Netlist> netlist = read_net_csv(text, "fuzz.csv");
  if (!netlist.ok()) {
    fuzz::expect_placed_line(netlist.error(), text);
    return 0;
  }
  fuzz::expect_whole(*netlist);
  const Result<Netlist> again = read_net_csv(write_net_csv(*netlist), "again.csv");
  fuzz::expect(again.ok(), "what is written can be read");
  fuzz::expect(again->pin_count() == netlist->pin_count(), "no pin is lost");
  fuzz::expect(fuzz::groups(*again) == fuzz::groups(*netlist), "the groups of pins stay");
  return 0;
}
