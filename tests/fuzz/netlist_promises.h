// fuzz/netlist_promises.h - what holds for every netlist a reader returns, whatever the file held.
#pragma once
#include <set>
#include <string>

#include "base/text.h"
#include "expect.h"
#include "netlist/netlist.h"

namespace fuzz {

/// An error's place lies within the text, for all three kinds of line ends.
inline void expect_placed_line(const halfsplit::Error& error, std::string_view text) {
  std::string lines(text);
  for (char& c : lines)
    if (c == '\r') c = '\n';
  expect_placed(error, lines);
}

inline void expect_whole(const halfsplit::netlist::Netlist& netlist) {
  using namespace halfsplit::netlist;
  std::set<std::string> refs, names;
  std::size_t netted = 0, listed = 0;
  for (std::size_t p = 0; p < netlist.parts.size(); ++p) {
    const Part& part = netlist.parts[p];
    expect(!part.ref.empty() && refs.insert(part.ref).second, "references are unique");
    std::set<std::string> numbers;
    for (const Pin& pin : part.pins) {
      expect(!pin.number.empty() && numbers.insert(pin.number).second, "a part has each pin once");
      expect(!pin.net.known() || pin.net.index() < netlist.nets.size(), "a pin's net is a net of the file");
      netted += pin.net.known();
    }
  }
  for (std::size_t n = 0; n < netlist.nets.size(); ++n) {
    const Net& net = netlist.nets[n];
    expect(!net.name.empty() && names.insert(halfsplit::lower(net.name)).second, "readable names are unique");
    expect(net.lone == (net.pins.size() == 1), "a lone net has one pin");
    for (const PinAt at : net.pins) expect(netlist.pin(at).net == NetIndex(n), "nets and pins agree");
    listed += net.pins.size();
  }
  expect(netted == listed, "every netted pin is on the list of its net");
  for (const Deviation& deviation : netlist.deviations) expect(deviation.count > 0, "deviations are counted");
}

/// The groups of pins, as text: equal for equal grouping of equal parts.
inline std::set<std::string> groups(const halfsplit::netlist::Netlist& netlist) {
  using namespace halfsplit::netlist;
  std::set<std::string> out;
  for (const Net& net : netlist.nets) {
    std::set<std::string> pins;
    for (const PinAt at : net.pins) pins.insert(netlist.part(at.part).ref + "\n" + netlist.pin(at).number);
    std::string group;
    for (const std::string& pin : pins) group += pin + "\n\n";
    if (pins.size() > 1) out.insert(group);
  }
  return out;
}

}  // namespace fuzz
