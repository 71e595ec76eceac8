// board/machine_data.h - what a Machine holds, for the builders in this module only; everybody else asks Machine.
//
// Shape:    nets and parts in the order of the files; NameIndex maps lower-case spellings to dense indices.
// Start at: Machine::Data; fill everything, call index_names(), then make the Machine.
#pragma once
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "board/machine.h"

namespace halfsplit::board {

/// Spellings (lower case) to indices; several things may share a spelling.
class NameIndex {
 public:
  void add(std::string_view spelling, std::size_t index);
  /// Sorts; call once, before find().
  void seal();
  /// Indices with this spelling, case ignored; ascending, no duplicates.
  std::vector<std::size_t> find(std::string_view spelling) const;

 private:
  std::vector<std::pair<std::string, std::size_t>> entries_;
};

/// The unit of a net and its name there.
struct NetOrigin {
  UnitId unit;
  std::string local_name;
};
/// Parts and nets for the search of signal paths; a Boost.Graph inside, see path.cpp.
struct SignalGraph;

struct Machine::Data {
  Data();
  ~Data();
  std::string id, title, revision;
  std::uint64_t hash = 0;
  std::vector<Part> parts;
  std::vector<Pin> pins;
  std::vector<Net> nets;
  std::vector<NetOrigin> net_origins;  ///< by NetId
  std::vector<Function> functions;
  std::vector<Question> questions;
  std::vector<Zone> zones;
  std::vector<std::string> units;
  std::vector<std::pair<PartId, PartId>> plugs;  ///< connector or cable -> the part with its plug contacts
  std::shared_ptr<const parts::Library> library;

  /// Fills the indices anew from parts, nets and units.
  void index_names();
  /// Fills `signals` from parts, pins and nets.
  void index_signals();
  const parts::Pin& pin_type(PinId pin) const { return parts[pins[pin.index()].part.index()].type->pins[pins[pin.index()].index]; }

  NameIndex refs;                          ///< "u5", "kbd/u5"
  NameIndex net_names, net_tails, net_bars;  ///< whole name; without sheet path; active-low marks made alike
  std::unique_ptr<const SignalGraph> signals;
};

// Look-ups over a Data whose names are indexed; Machine's own answer with these.
Result<PartId> find_part(const Machine::Data& data, std::string_view ref);
Result<PinId> find_pin(const Machine::Data& data, std::string_view text);
Result<NetId> find_net(const Machine::Data& data, std::string_view name);

/// A net's name without its sheet path: "/main/A14" -> "A14", "/main/{slash}RD" -> "/RD".
std::string net_tail(std::string_view name);
/// Every active-low mark written as a leading slash: "~{RD}", "~RD", "RD#", "RD*", "RD\" -> "/RD".
std::string barred(std::string_view name);
/// barred() of the name without its sheet path; a single leading slash counts as the mark.
std::string net_bar(std::string_view name);

}  // namespace halfsplit::board
