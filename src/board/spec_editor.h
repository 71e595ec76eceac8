// board/spec_editor.h - inside amend(): one machine's text form while amendments change it.
//
// Owns:     the spec, with pins of nets written by number and pins of numbered types written out.
// Errors:   not_found or usage without place: amend() adds the line.
// Start at: SpecEditor::apply().
#pragma once
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board/amendment.h"
#include "board/unit_types.h"

namespace halfsplit::board {

class SpecEditor {
 public:
  SpecEditor(MachineSpec spec, const parts::Library& library);
  /// Applies one amendment; on an error the spec may be half changed and is not to be used.
  Status apply(const Amendment& amendment);
  MachineSpec take() && {
    settle_stand_ins();
    return std::move(spec_);
  }

 private:
  static constexpr std::size_t kNoUnit = static_cast<std::size_t>(-1);
  struct PartAt { std::size_t unit = kNoUnit, index = 0; };  ///< unit kNoUnit: a part of the surroundings
  struct PinAt { PartAt part; std::string number; };
  struct NetAt { std::size_t unit = 0, index = 0; };

  Status jumper(const std::vector<std::string>& words);
  Status missing(const std::vector<std::string>& words);
  Status move_pin(const std::vector<std::string>& words);
  Status join_pins(const std::vector<std::string>& words);
  Status wire(const std::vector<std::string>& words);
  Status cut(const std::vector<std::string>& words);
  Status lift(const std::vector<std::string>& words);
  Status add(const std::vector<std::string>& words);
  Status value(const std::vector<std::string>& words);
  Status fit(const std::vector<std::string>& words);
  Status becomes(const std::vector<std::string>& words);

  // Looking things up.
  Result<PartAt> find_part(std::string_view text) const;
  bool is_part(std::string_view text) const;
  Result<PinAt> find_pin(std::string_view text);
  Result<NetAt> find_net(std::string_view name, std::size_t unit) const;
  std::optional<NetAt> net_of(const PinAt& pin) const;
  /// A pin's net (made where it has none), or a net by its name.
  Result<NetAt> net_at(std::string_view pin_or_net, std::size_t unit);
  Result<const parts::PartType*> type_of(const PartAt& part);
  PartSpec& part(const PartAt& at) { return at.unit == kNoUnit ? spec_.surroundings[at.index] : spec_.units[at.unit].parts[at.index]; }
  NetSpec& net(const NetAt& at) { return spec_.units[at.unit].nets[at.index]; }
  std::string shown(const PinAt& pin);

  // Changing things.
  void write_pins_by_number(std::size_t unit);
  void detach(const PinAt& pin);
  void attach(const PinAt& pin, const NetAt& net);
  Result<NetAt> merged(const NetAt& first, const NetAt& second);
  bool is_power(const NetAt& net) const;
  bool is_named_elsewhere(const NetAt& net) const;
  /// On a sketch: a stand-in leaves a net that has a driver or a rail, and comes to one that only listens.
  void settle_stand_ins();
  NetAt new_net(std::size_t unit, const std::string& name);
  std::string free_ref(std::size_t unit, const std::string& head) const;
  PartAt new_part(std::size_t unit, PartSpec part);
  Result<PartSpec> described(const std::string& ref, const std::string& description, std::size_t pins) const;
  UnitTypes& types(std::size_t unit);

  MachineSpec spec_;
  const parts::Library& library_;
  std::vector<std::unique_ptr<UnitTypes>> types_;
};

}  // namespace halfsplit::board
