// board/spec.h - the text form of a machine as plain data: what files say, what importers make, what amendments edit; build() turns it into a Machine.
//
// Owns:     everything by value; places point into the files it came from. Lists called `..._at` are the places of the list before them, empty or
//           as long.
// Start at: load_spec(), build(), write_spec(); format in docs/board-format.md.
#pragma once
#include <map>
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
/// A pin of a part of the same unit, by number or trade name; `part` may be "unit/U5" where a wire leads to another unit.
struct PinRef { std::string part, pin; Place place; };
struct NetSpec { std::string name; std::vector<PinRef> pins; Place place; };
struct SupplySpec { std::string net; double volts = 0, tolerance = 0.05; std::string from; Place place; };  ///< from = part that feeds it; "" = a part of the board does
/// Share of time a signal from outside moves when the file doesn't say.
inline constexpr double kSourceMoves = 1;
/// Kinds a function can have: runs, rom-starts, picture, sound, key, serial, cassette, disk, other.
const std::vector<std::string>& function_kinds();
struct FunctionSpec {
  std::string id, title, kind;
  std::vector<std::string> needs;    ///< "U4.9", "net A0", "part display"; a leading "content " asks for stored content too
  std::string held;                  ///< key functions: the switch
  Place place;
  std::vector<Place> needs_at;
};
struct QuestionSpec { std::string id, text; std::vector<Question::Answer> answers; Place place; };
struct ZoneSpec { std::string id, title, hazard, caution, open_when; std::vector<std::string> parts; Place place; };

struct UnitSpec {
  std::string name;  ///< folder name; a machine's only unit may have none and is then called "main"
  std::string title, revision;
  std::vector<PartSpec> parts;
  std::vector<NetSpec> nets;
  std::vector<std::string> grounds;
  std::vector<SupplySpec> supplies;
  std::vector<std::pair<std::string, double>> sources;  ///< net that is fed from outside the model (an expansion signal): name, share of time it moves
  std::vector<halfsplit::Node> types;                   ///< part types that only this unit uses (custom chips with guessed roles), by id
  Place place;
  std::vector<Place> grounds_at, sources_at;
};
/// Two connectors plugged together, pin by pin with the same number; a map, when not empty, lists every pair (a's pin, b's pin). Each contact can
/// be open. `cable` is the reference of the cable between them, whose conductors can break; empty when they plug straight together.
struct MateSpec { std::string a, b; std::vector<std::pair<std::string, std::string>> map; std::string cable; Place place; };

struct MachineSpec {
  std::string id, title, maker, revision;
  std::vector<UnitSpec> units;
  std::vector<MateSpec> mates;
  std::vector<PartSpec> surroundings;  ///< display, lead, supply, medium, operator: ref, type, value (its title)
  std::vector<FunctionSpec> functions;
  std::vector<QuestionSpec> questions;
  std::vector<ZoneSpec> zones;
  std::vector<std::string> amendments; ///< kept corrections (`amend --keep`), one line each; build() applies them
  std::vector<Place> amendments_at;
  bool amended = false;                ///< kept corrections and default answers are already in: made by amend(), never written
};
/// Equal in all but places: what load_spec() reads is the same as what write_spec() was given.
bool same(const MachineSpec& a, const MachineSpec& b);

/// The files of a machine, as text, by path below its folder: "machine.toml", "kbd/nets.toml".
using SpecFiles = std::map<std::string, std::string>;
/// Reads the text of every file of this format in the folder and its unit folders.
Result<SpecFiles> gather_spec_files(const std::string& folder);
/// Reads the files; `folder` only labels places. Up to 20 errors with file:line:column.
Result<MachineSpec> parse_spec(const SpecFiles& files, const std::string& folder = {});
/// The files that parse_spec() reads as `spec`; bad_input when the spec can't be written (a reference with a blank).
Result<SpecFiles> spec_files(const MachineSpec& spec);

/// Reads boards/<machine>/: machine.toml and per unit board.toml, parts.toml, nets.toml, types/*.toml. Up to 20 errors with file:line:column.
Result<MachineSpec> load_spec(const std::string& folder);
/// Writes the same files; with `replace` also over others of the same names, taking away what an earlier version left (never a file that is not
/// part of this format). needs_confirmation when something is there that differs, unless `replace`.
Status write_spec(const MachineSpec& spec, const std::string& folder, bool replace = false);
/// Flattens units into one Machine, resolving types, values, mates, functions; kept corrections and the default answers of questions are applied.
Result<std::shared_ptr<const Machine>> build(const MachineSpec& spec, std::shared_ptr<const parts::Library> library);
/// load_spec() and build().
Result<std::shared_ptr<const Machine>> load_machine(const std::string& folder, std::shared_ptr<const parts::Library> library);

}  // namespace halfsplit::board
