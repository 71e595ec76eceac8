// netlist/ipc_values.h - records 370 and 380: the values of resistors, capacitors and inductors that a file itself holds.
//
// Layout:   first line: net 4-17, kind R, C or L in 40, value 42-48 ("1234E+1": ohm, pF, pH), name 66-79; continuation: the net of the other end.
#pragma once
#include <string>
#include <vector>

#include "netlist/assemble.h"
#include "netlist/columns.h"
#include "netlist/ipc_names.h"

namespace halfsplit::netlist {

class IpcValues {
 public:
  void read(const Columns& columns, std::size_t line, bool first, Deviations& deviations);
  void add(IpcNames& names, Assembler& assembler) const;

 private:
  struct Open {
    std::string name, net_a, net_b;
    char kind = 'R';
    double value = 0;
    std::size_t line = 0;
  };
  std::vector<Open> open_;
  bool ready_ = false;  ///< the last first line was readable and waits for its other end
};

}  // namespace halfsplit::netlist
