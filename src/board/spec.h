// board/spec.h - the text form of a machine as plain data: what files say, what importers make, what amendments edit; build() turns it into a Machine.
//
// Owns:     everything by value; places point into the files it came from.
// Start at: load_spec(), build(), write_spec().
#pragma once
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/document.h"
#include "base/result.h"
#include "board/machine.h"

namespace halfsplit::board {

struct PartSpec {
  std::string ref, type, family, value, footprint, note;
  bool fitted = true, socketed = false;
  std::optional<Position> at;
  std::vector<std::string> pin_numbers;  ///< types with made-up pins (headers): the pins the file names, in order
  std::vector<std::pair<std::string, Position>> pin_at;  ///< pin number -> place, where known
  Place place;
};
struct PinRef { std::string part, pin; Place place; };
struct NetSpec { std::string name; std::vector<PinRef> pins; Place place; };
struct SupplySpec { std::string net; double volts = 0, tolerance = 0.05; std::string from; Place place; };  ///< from = part that feeds it; "" = a part of the board does
struct FunctionSpec {
  std::string id, title, kind;
  std::vector<std::string> needs;    ///< "U4.9", "net A0", "part display"; a leading "content " asks for stored content too
  std::string held;                  ///< key functions: the switch
  Place place;
};
struct QuestionSpec { std::string id, text; std::vector<Question::Answer> answers; Place place; };
struct ZoneSpec { std::string id, title, hazard, caution, open_when; std::vector<std::string> parts; Place place; };

struct UnitSpec {
  std::string name, title, revision;
  std::vector<PartSpec> parts;
  std::vector<NetSpec> nets;
  std::vector<std::string> grounds;
  std::vector<SupplySpec> supplies;
  std::vector<std::pair<std::string, double>> sources;  ///< net that is fed from outside the model (an expansion signal): name, share of time it moves
  std::vector<halfsplit::Node> types;                   ///< part types that only this unit uses (custom chips with guessed roles)
  Place place;
};
/// Two connectors plugged together, pin by pin with the same number unless a map says otherwise; each contact can be open.
struct MateSpec { std::string a, b; std::vector<std::pair<std::string, std::string>> map; std::string cable; Place place; };

struct MachineSpec {
  std::string id, title, maker, revision;
  std::vector<UnitSpec> units;
  std::vector<MateSpec> mates;
  std::vector<PartSpec> surroundings;  ///< display, lead, supply, medium, operator
  std::vector<FunctionSpec> functions;
  std::vector<QuestionSpec> questions;
  std::vector<ZoneSpec> zones;
  std::vector<std::string> amendments; ///< kept corrections (`amend --keep`), one line each
};

/// Reads boards/<machine>/: machine.toml and per unit board.toml, parts.toml, nets.toml, types/*.toml. Up to 20 errors with file:line:column.
Result<MachineSpec> load_spec(const std::string& folder);
/// Writes the same files; refuses to overwrite a folder that holds other files unless `replace`.
Status write_spec(const MachineSpec& spec, const std::string& folder, bool replace = false);
/// Flattens units into one Machine, resolving types, values, mates, functions.
Result<std::shared_ptr<const Machine>> build(const MachineSpec& spec, std::shared_ptr<const parts::Library> library);
/// load_spec() and build().
Result<std::shared_ptr<const Machine>> load_machine(const std::string& folder, std::shared_ptr<const parts::Library> library);

}  // namespace halfsplit::board
