// netlist/name_nets.h - readable and unique names for the nets of one file, and the pin names hidden in made-up net names.
#pragma once
#include "netlist/netlist.h"

namespace halfsplit::netlist {

/// Sets Net::name and Net::made_up of all nets, and Pin::name where a made-up name tells it; counts what the names bear.
/// Needs raw names and pins in place. Sheet paths are left out where the rest is unique.
void name_nets(Netlist& netlist, Deviations& deviations);

}  // namespace halfsplit::netlist
