// netlist/ipc_points.h - from test records in file units to pins, vias and holes in millimetres.
//
// Rules:    VIA or no reference: a via. 367, and a hole without a pin: a hole. Blank, N/C: on no net. All else is a pin of its part; a pad without a pin
//           number is "1" on a part that has no other pins, else "pad1".
#pragma once
#include <vector>

#include "netlist/assemble.h"
#include "netlist/ipc_names.h"
#include "netlist/test_record.h"

namespace halfsplit::netlist {

struct PointRecord {
  TestRecord record;
  std::uint32_t line = 0;
};

/// Continuations (017, 027) must have taken over net, reference and pin of the record they continue.
void add_points(const std::vector<PointRecord>& points, double mm_per_unit, IpcNames& names, Assembler& assembler, Deviations& deviations);

}  // namespace halfsplit::netlist
