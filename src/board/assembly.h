// board/assembly.h - inside build(): a machine while it is put together; every step adds to one Data and one Errors.
//
// Order:    units, parts, surroundings, nets, power, mates, then names are indexed, then functions, questions and zones.
#pragma once
#include <map>
#include <memory>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "base/result.h"
#include "board/machine_data.h"
#include "board/spec.h"

namespace halfsplit::board {

class Assembly {
 public:
  /// `spec` has its amendments applied.
  Assembly(const MachineSpec& spec, std::shared_ptr<const parts::Library> library);
  Result<std::shared_ptr<const Machine>> run();

 private:
  // build_parts.cpp
  void add_units();
  void add_parts(std::size_t unit);
  void add_surroundings();
  void add_part(const PartSpec& spec, const parts::PartType& type, UnitId unit);
  void place_pins(const PartSpec& spec, PartId part);
  const parts::Family* family_of(const PartSpec& spec, const parts::PartType& type);
  void name_parts();

  // build_nets.cpp
  void add_nets(std::size_t unit);
  void add_pin(const PinRef& ref, std::size_t unit, NetId net);
  std::optional<PartId> part_of(const PinRef& ref, std::size_t unit);
  void name_nets();
  void add_power(std::size_t unit);
  void add_supply(const SupplySpec& supply, std::size_t unit);
  std::optional<NetId> net_in(std::size_t unit, const std::string& name, const Place& place);

  // build_mates.cpp
  void add_mate(const MateSpec& mate);
  std::vector<std::pair<PinId, PinId>> mating_pins(const MateSpec& mate, PartId a, PartId b);
  PartId add_contacts(const std::string& ref, const std::string& technology, const std::vector<std::pair<PinId, PinId>>& pairs,
                      const std::vector<std::pair<NetId, NetId>>& nets);
  std::vector<NetId> conductor_ends(const std::string& cable, PartId connector, const std::vector<PinId>& pins);

  // build_functions.cpp
  void add_function(const FunctionSpec& spec);
  std::vector<Need> needs_of(std::string_view text, const Place& place);
  void add_question(const QuestionSpec& spec);
  void add_zone(const ZoneSpec& spec);
  void find_feeds();

  void fail(std::string message, const Place& place, std::string hint = {}) { errors_.add(bad_input(std::move(message), place, std::move(hint))); }
  void fail(Error error, const Place& place);
  /// True for a part whose type couldn't be had; the error is in the list already.
  bool unreadable(PartId id) const;
  const Part& part(PartId id) const { return data_->parts[id.index()]; }
  std::string pin_name(PinId id) const;

  const MachineSpec& spec_;
  std::shared_ptr<const parts::Library> library_;
  std::unique_ptr<Machine::Data> data_;
  Errors errors_;
  std::vector<std::unordered_map<std::string, PartId>> unit_parts_;  ///< by unit: local reference
  std::vector<std::unordered_map<std::string, NetId>> unit_nets_;    ///< by unit: local name
  std::vector<Place> pin_places_;                                    ///< by PinId: where a net names it
  std::map<std::string, PartId> plugged_;                            ///< connectors that mate already
};

/// The place of item i of a list, or that of the whole where the list came without places.
const Place& place_of(const std::vector<Place>& places, std::size_t i, const Place& otherwise);

/// Content hash over everything in the data that changes predictions.
std::uint64_t prediction_hash(const Machine::Data& data);

}  // namespace halfsplit::board
