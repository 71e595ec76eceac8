// parts/library.h - the part library on disk: one file per functional number, read when first asked for.
//
// Shape:    an id is a file name ("74244"), or that of a type whose pins depend on the place: "header/16", "dsub/0..9", "npn/E,B,C".
// Owns:     every PartType it has read, for its lifetime; returned pointers stay valid.
// Errors:   file:line:col, up to 20 a file; unknown ids are not_found with "did you mean".
// Cost:     opening reads families.toml, classes.toml, match.toml and the file names; a type costs its own small file; named() all of them, once.
// Threads:  const calls may run side by side.
// Start at: Library::open(), Library::type(), match_type() in parts/match.h.
#pragma once
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/document.h"
#include "base/result.h"
#include "parts/electrical.h"
#include "parts/part_type.h"

namespace halfsplit::parts {

/// Electrical habits of a logic family at 5 V; volts and amperes.
struct Family {
  std::string id;              ///< "LS"
  std::string technology;      ///< column `technology` of the rates: "LS", "HC or HCT"
  double low_v = 0.2, high_v = 3.4;            ///< typical output levels
  double input_low_v = 0.8, input_high_v = 2.0;
  double float_v = 1.5;        ///< what an open input is seen at; 0 for MOS (drifts)
  bool low_wins = true;        ///< two outputs fighting: the low one wins (bipolar); else mid level
  bool floats_high = true;     ///< an open input acts as high
  std::vector<std::string> letters;  ///< how the family is printed: "LS" in 74LS244; "" = no letters
};

/// What a failure mode does, in terms an engine can compute; `at` says on which pins or cells it can sit.
enum class Effect : std::uint8_t {
  stuck_low,      ///< the pin is held low
  stuck_high,     ///< the pin is held high
  no_drive,       ///< the pin (at part: every output) never drives: floats
  drives_wrong,   ///< drives when it should, but the wrong thing
  ignores_input,  ///< the part behaves as if the pin stood still
  drags,          ///< a leak on the pin or between the ends of the element: the net is pulled, levels go soft
  dead,           ///< nothing comes out of the part, nothing is kept in it
  always_drives,  ///< drives also when not selected
  never_enabled,  ///< behaves as if never selected: outputs off or at rest
  cell_stuck,     ///< the bit reads one level whenever the memory is read
  cell_dead,      ///< the bit gives no output when the memory is read
  content_wrong,  ///< drives, but what it holds is wrong
  open,           ///< no connection through it
  shorted,        ///< its ends (at each_supply: the rail and ground; at part: in and out, or all ends) are joined
  resistive,      ///< a contact of ohms to megohms
  drifted,        ///< value off its mark
  weak,           ///< soft levels, small swing, late edges
  intermittent,   ///< comes and goes
  unlisted,       ///< misbehaves in a way the library doesn't list
  none            ///< no effect an engine computes (assembly, design): asked and looked for
};
const char* name_of(Effect effect) noexcept;  ///< "stuck-low"
/// Where a mode can sit. each_output: pins that can drive and are neither data nor address of a memory, processor or peripheral;
/// each_input: pins that listen; each_data: data bits (memory: in and out count as one bit); each_element: every two-ended element of the
/// part, or every pin of a part that has none; each_supply: supply pins.
enum class ModeAt : std::uint8_t { part, each_output, each_input, each_data, each_address, each_element, each_supply };
const char* name_of(ModeAt at) noexcept;  ///< "each-output"

struct Mode {
  std::string id;     ///< "output-stuck-low"
  std::string title;  ///< "output stuck low"
  Effect effect = Effect::none;
  ModeAt at = ModeAt::part;
  std::string evidence_group;  ///< mode group of the evidence table: "stuck", "float", "bit", ...
};
/// Failure modes by rate class (and technology where it differs).
struct ClassModes {
  std::string rate_class;
  std::string technology;  ///< empty: all that have no entry of their own
  std::vector<std::string> technologies;  ///< technology empty: those known to the rates; may be empty
  std::vector<Mode> modes;
};
struct MatchTable;  // parts/match_table.h

class Library {
 public:
  /// Opens shared/parts. `folder` must hold families.toml and classes.toml.
  static Result<std::shared_ptr<const Library>> open(const std::string& folder);
  ~Library();
  /// Type by exact id, with pins for its place where the id says so ("header/16"); reads its file at the first call. The bare id of a
  /// numbered type gives the template, which has no pins.
  Result<const PartType*> type(std::string_view id) const;
  /// The same for the pins a file names: makes them for a numbered type (in natural order), checks them for any other (a type may have
  /// more). bad_input when a pin is not of the type.
  Result<const PartType*> type_with_pins(std::string_view id, const std::vector<std::string>& numbers) const;
  /// Type from text (board-local types); kept as long as the library.
  Result<const PartType*> adopt(const halfsplit::Node& document) const;
  /// All ids, sorted naturally; from file names alone.
  const std::vector<std::string>& ids() const;
  /// Ids printed as `name`: the id itself or a name in its `also`; capitals, blanks and dashes don't count. Exact ids first.
  std::vector<std::string> named(std::string_view name) const;
  const Family* family(std::string_view id) const;  ///< nullptr when unknown
  const std::vector<Family>& families() const;
  /// Modes of a class; falls back to the class without technology, then to its first entry, then to "logic"; never empty.
  const std::vector<Mode>& modes(std::string_view rate_class, std::string_view technology) const;
  const std::vector<ClassModes>& classes() const;
  /// Hash over all files of the folder (names and bytes).
  std::uint64_t hash() const;
  /// Rules for match_type(); from match.toml, empty when the folder has none.
  const MatchTable& match_table() const;
  /// Electrical models; from electrical.toml, all defaults when the folder has none.
  const ElectricalTable& electrical() const;

 private:
  struct Impl;
  explicit Library(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace halfsplit::parts
