// netlist/assemble.h - puts records of any format together into a Netlist: parts, pins with all their pads, nets, readable names.
//
// Shape:    at most 250,000 pads, 50,000 parts and 50,000 nets; more is an error of the file.
// Promise:  pads are joined to one pin only when reference, pin and net agree (or one of them is on no net).
// Start at: Assembler; used by the readers of this module only.
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "netlist/netlist.h"

namespace halfsplit::netlist {

inline constexpr std::size_t kMostPads = 250000, kMostParts = 50000, kMostNets = 50000;

struct RawPin {
  NetIndex net;  ///< unknown: on no net
  std::string ref, number, name;
  PinType type = PinType::unknown;
  std::optional<Pad> pad;
  std::uint32_t line = 0;
};

class Assembler {
 public:
  explicit Assembler(Deviations& deviations) : deviations_(deviations) {}
  /// The net of a key, made at its first use. `raw` is its name in the file, `alias` what stands in its place.
  NetIndex net(std::string_view key, std::string_view raw, std::string_view alias, std::size_t line);
  std::optional<NetIndex> find(std::string_view key) const;
  void add(RawPin pin) { pins_.push_back(std::move(pin)); }
  std::size_t pads() const { return pins_.size(); }
  /// The netlist under work: copper, holes, vias, title go straight in.
  Netlist& netlist() { return netlist_; }
  /// Joins everything. bad_input over the limits.
  Result<Netlist> finish(const std::string& file);

 private:
  void make_parts();
  void make_part(std::string ref, const std::string& file_ref, const std::vector<std::uint32_t>& records);
  void join_nets();
  std::string free_ref(const std::string& ref);

  Deviations& deviations_;
  Netlist netlist_;
  std::vector<RawPin> pins_;
  std::unordered_map<std::string, NetIndex> nets_;
  std::unordered_map<std::string, bool> refs_;                ///< taken references
  std::unordered_map<std::string, std::size_t> next_number_;  ///< of "U7_2", per reference
};

}  // namespace halfsplit::netlist
