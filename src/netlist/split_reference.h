// netlist/split_reference.h - one reference used for several parts: which pad belongs to which.
//
// Idea:     a pin can't be on two nets, so a reference whose pin is on two nets stands for two parts. Pads come part by part in most files: cut where
//           a pin returns; accepted when all pieces have the same pins. Else by place, nearest to the pads of the contested pin. Whatever is left
//           contested goes to a further piece, so that pads are only ever put together when the file says so.
// Cost:     O(pads) with hashing; by place O(pads * pieces), at most 16 pieces.
#pragma once
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "netlist/netlist.h"

namespace halfsplit::netlist {

struct ReferencePad {
  std::string_view pin;
  NetIndex net;  ///< unknown: on no net, which contests nothing
  std::optional<Point> at;
};
struct ReferencePieces {
  std::vector<std::uint32_t> piece;  ///< per pad, 0..count-1; in the order of first use
  std::size_t count = 1;
  std::size_t contested = 0;  ///< pins that are on more than one net
  bool whole = true;          ///< the pieces are whole parts: each has the same pins
};
ReferencePieces split_reference(const std::vector<ReferencePad>& pads);

}  // namespace halfsplit::netlist
