// board/machine.h - a machine as one immutable graph: units joined by plugs, parts, pins, joints, nets, functions.
//
// Shape:    ~500 parts, ~8,000 pins; PartId, PinId and NetId are dense, 0..count-1; every pin is a node of its own, tied to its net by a joint
//           (a joint has its pin's id). The pins of a part lie together, in the order of its type.
// Owns:     every name; types belong to the parts::Library, which must live longer.
// Errors:   build() and load_machine() return up to 20 errors with file:line:column; queries need ids of this Machine.
// Cost:     find_* O(log n) or O(1); path O(pins).       Threads: const, safe to share.
// Start at: Machine::find_pin(), Machine::net(); built from board/spec.h; format in docs/board-format.md.
#pragma once
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/id.h"
#include "base/result.h"
#include "parts/library.h"
#include "parts/part_type.h"

namespace halfsplit::board {

using UnitId = Id<struct UnitTag>;
using PartId = Id<struct PartTag>;
using PinId = Id<struct PinTag>;
using NetId = Id<struct NetTag>;
using FunctionId = Id<struct FunctionTag>;
/// A joint ties one pin to its net and has that pin's id.
using JointId = PinId;

struct Position { double x_mm = 0, y_mm = 0; };

struct Part {
  std::string ref;        ///< full reference "kbd/SW12"; the unit is left out where the rest is unique
  std::string local_ref;  ///< "SW12"
  UnitId unit;            ///< unknown() for surroundings, plug contacts and cables
  const parts::PartType* type = nullptr;
  const parts::Family* family = nullptr;  ///< nullptr where the type has none (passives)
  std::string value;                      ///< normalised text, "4.7k"; may be empty
  std::optional<double> value_si;         ///< ohms, farads, hertz... by the type's class
  bool fitted = true;
  bool socketed = false;
  bool surroundings = false;              ///< display, lead, supply, medium, operator: not on the board
  std::optional<Position> at;
  PinId first_pin;
  std::uint16_t pin_count = 0;
};

struct Pin {
  PartId part;
  std::uint16_t index = 0;  ///< into type->pins
  NetId net;                ///< unknown() when connected to nothing
  std::optional<Position> at;
};

enum class NetKind : std::uint8_t { signal, ground, rail };
struct Net {
  std::string name;           ///< as in the file, unit-qualified only where two units use one name
  NetKind kind = NetKind::signal;
  double rail_v = 0;          ///< kind rail: nominal volts
  double tolerance = 0.05;    ///< kind rail: share of the nominal
  std::vector<PinId> pins;    ///< in file order
  std::optional<PartId> source;  ///< kind rail: the part (often of the surroundings) that feeds it, where no regulator on the board does
  std::optional<double> fed;     ///< kind signal: fed from outside the model (an expansion signal); share of the time in which it moves
};

/// What must be right for an owner's function: a pin (its level in every slot equals the healthy machine), or a part of the surroundings.
struct Need {
  PinId pin;       ///< known() or
  PartId part;     ///< known()
  bool content = false;  ///< pin: also what was stored or read must be right, from reset on
};
struct Function {
  std::string id;     ///< "picture", "key-a"
  std::string title;  ///< "picture on the display"
  std::string kind;   ///< runs, rom-starts, picture, sound, key, serial, cassette, disk, other
  std::vector<Need> needs;
  std::optional<PartId> held;  ///< kind key: the switch that is pressed while the function is tried
  bool feeds = false;          ///< something on the machine can fulfil it (a need is driven)
};

/// A question the file leaves open (a link, a jumper, a part maybe not fitted): a default, and what each answer changes.
struct Question {
  std::string id;
  std::string text;
  struct Answer { std::string word; std::vector<std::string> amendments; };
  std::vector<Answer> answers;  ///< the first is the default
};

/// A place that can hurt: mains, charged capacitors, picture tube, cells, heat.
struct Zone {
  std::string id;
  std::string title;
  std::string hazard;   ///< mains, charge, tube, cell, heat, solvent
  std::string caution;  ///< full text, once a sitting
  std::string open_when;  ///< state word that opens it ("supply-lid-off")
  std::vector<PartId> parts;
};

class Machine {
 public:
  struct Data;  // board/machine_data.h, for builders only
  explicit Machine(std::unique_ptr<const Data> data);
  ~Machine();
  Machine(const Machine&) = delete;
  Machine& operator=(const Machine&) = delete;

  const std::string& id() const;
  const std::string& title() const;
  const std::string& revision() const;
  std::uint64_t hash() const;  ///< over everything that changes predictions

  const std::vector<Part>& parts() const;
  const std::vector<Pin>& pins() const;
  const std::vector<Net>& nets() const;
  const std::vector<Function>& functions() const;
  const std::vector<Question>& questions() const;
  const std::vector<Zone>& zones() const;
  const std::vector<std::string>& units() const;
  const parts::Library& library() const;

  const Part& part(PartId id) const { return parts()[id.index()]; }
  const Pin& pin(PinId id) const { return pins()[id.index()]; }
  const Net& net(NetId id) const { return nets()[id.index()]; }
  const Function& function(FunctionId id) const { return functions()[id.index()]; }
  const parts::Pin& pin_type(PinId id) const { return part(pin(id).part).type->pins[pin(id).index]; }
  PinId pin_of(PartId part_id, std::size_t type_pin) const { return PinId(part(part_id).first_pin.index() + type_pin); }

  /// "U5" or "unit/U5"; case ignored. not_found with "did you mean"; usage when the reference is in several units.
  Result<PartId> find_part(std::string_view ref) const;
  /// "U5.8", "U5.OE", "kbd/J1.A12": a leg by number or trade name.
  Result<PinId> find_pin(std::string_view text) const;
  /// Net by name; case ignored, with or without sheet path where unique.
  Result<NetId> find_net(std::string_view name) const;
  Result<FunctionId> find_function(std::string_view id) const;
  /// "U5.8" (part reference, dot, pin number).
  std::string name_of(PinId id) const;
  /// "U5.8 (/OE)".
  std::string long_name_of(PinId id) const;

  /// The parts whose contacts open when this connector or cable is unplugged: "main/J3~kbd/J1" for main/J3, for kbd/J1 and for itself; empty when
  /// it is plugged nowhere.
  std::vector<PartId> plug_contacts(PartId connector) const;

  /// Shortest signal path as pins, alternating through parts and nets, from a part to a pin, the way signals go (out of pins that drive, into pins that
  /// listen, through passive ones both ways); power nets and parts not fitted are not walked. Ends with `to`; empty when there is none.
  std::vector<PinId> path(PartId from, PinId to) const;

 private:
  std::unique_ptr<const Data> data_;
};

}  // namespace halfsplit::board
