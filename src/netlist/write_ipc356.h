// netlist/write_ipc356.h - writes a netlist as IPC-D-356A: clean, or with the habits of real programs switched on by a seed.
//
// Promise:  read_ipc356() of the text gives the same grouping of pins, whatever deviations are on; without deviations also the same names
//           (the first 58 characters), references, positions to the unit, copper, neighbours and outline.
// Rules:    a net name that does not fit 14 columns gets an alias; a reference over 6 or a pin over 4 columns gets a key and a comment that
//           tells the whole (`C  REFNAME key name`, `C  PINNAME ref key name`).
#pragma once
#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include "netlist/netlist.h"

namespace halfsplit::netlist {

struct Ipc356Style {
  std::uint64_t seed = 0;  ///< decides which records bear a deviation
  std::set<DeviationKind> deviations;
  Units units = Units::tenth_mils;
};
/// What the writer can do on purpose.
const std::vector<DeviationKind>& writable_deviations();
/// Seed 0: none, clean. Else each writable deviation with an even chance, and either unit.
Ipc356Style ipc356_style(std::uint64_t seed);

std::string write_ipc356(const Netlist& netlist, const Ipc356Style& style = {});

}  // namespace halfsplit::netlist
