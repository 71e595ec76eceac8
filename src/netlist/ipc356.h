// netlist/ipc356.h - reader of IPC-D-356A bare-board test netlists, as the standard has them and as real programs write them.
//
// Errors:   not a text file, over 32 MiB, a line over 4,096 bytes, a record whose columns can't be trusted, no test record at all: file:line:column,
//           up to 20 of them; then nothing is read. A file that is mostly not in columns gets one error that says so.
// Reads:    317, 327, 367, 307, 017, 027 (pads, vias, holes), 378/078 (copper), 379/079 (neighbours), 389/089 (outline), 370/380 (values),
//           P lines, aliases in P and C lines, `C  REFNAME key name` and `C  PINNAME ref key name` (as write_ipc356.h puts them for long names).
// Cost:     about 2,000 records in 10 ms.
#pragma once
#include <string>
#include <string_view>

#include "netlist/netlist.h"

namespace halfsplit::netlist {

/// Reads a whole file's bytes; `file` labels places.
Result<Netlist> read_ipc356(std::string_view bytes, const std::string& file);

}  // namespace halfsplit::netlist
