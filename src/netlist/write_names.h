// netlist/write_names.h - the text that stands in the fixed columns of a written netlist: nets, references, pins, and the lines that explain them.
#pragma once
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "netlist/write_ipc356.h"

namespace halfsplit::netlist {

class WrittenNames {
 public:
  WrittenNames(const Netlist& netlist, const Ipc356Style& style);
  /// Field of a net, 1 to 16 characters, no blanks, unique.
  const std::string& net(NetIndex index) const { return nets_[index.index()]; }
  /// Field of a made-up net for an unconnected pin.
  std::string own_net(const std::string& ref, const std::string& pin);
  const std::string& ref(PartIndex index) const { return refs_[index.index()]; }
  std::string pin(PinAt at) const;
  /// Alias and key lines, each at most 80 columns where the names allow it.
  const std::vector<std::string>& lines() const { return lines_; }

 private:
  void write_nets();
  void write_refs();
  void write_pins();
  std::string cut_name(const std::string& name);
  std::string alias_for(const std::string& name);

  const Netlist& netlist_;
  const Ipc356Style& style_;
  std::vector<std::string> nets_, refs_, lines_;
  std::unordered_map<std::string, std::string> pins_;  ///< part index and number -> key
  std::unordered_set<std::string> used_nets_, used_refs_, aliased_;
  std::size_t aliases_ = 0;
};

}  // namespace halfsplit::netlist
