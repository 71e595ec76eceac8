// netlist/net_csv.h - reader and writer of net tables: `Net,Ref,Pin[,PinName,PinType]`, one row a pin.
//
// Errors:   no Net, Ref or Pin column; a row without reference or pin: file:line:column, up to 20; then nothing is read.
// Rules:    columns in any order and under usual other names; an empty net or N/C means not connected.
#pragma once
#include <string>
#include <string_view>

#include "netlist/netlist.h"

namespace halfsplit::netlist {

Result<Netlist> read_net_csv(std::string_view bytes, const std::string& file);
/// All five columns, in the order of the nets, then of the parts; unconnected pins last.
std::string write_net_csv(const Netlist& netlist);

}  // namespace halfsplit::netlist
