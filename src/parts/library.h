// parts/library.h - the part library on disk: one file per functional number, read when first asked for.
//
// Owns:     every PartType it has read, for its lifetime; returned pointers stay valid.
// Errors:   file:line:col, up to 20 a file; unknown ids are not_found with "did you mean".
// Cost:     opening reads families.toml, classes.toml and the file names; a type costs its own small file.
// Start at: Library::open(), Library::type(), match_type() in parts/match.h.
#pragma once
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/document.h"
#include "base/result.h"
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
};

/// What a failure mode does, in terms an engine can compute; `at` says on which pins or cells it can sit.
enum class Effect : std::uint8_t {
  stuck_low, stuck_high, no_drive, drives_wrong, ignores_input, drags, dead, always_drives, never_enabled, cell_stuck, cell_dead, content_wrong,
  open, shorted, resistive, drifted, weak, intermittent, unlisted, none
};
const char* name_of(Effect effect) noexcept;
enum class ModeAt : std::uint8_t { part, each_output, each_input, each_data, each_address, each_element, each_supply };

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
  std::string technology;  ///< empty: all
  std::vector<Mode> modes;
};

class Library {
 public:
  /// Opens shared/parts. `folder` must hold families.toml and classes.toml.
  static Result<std::shared_ptr<const Library>> open(const std::string& folder);
  ~Library();
  /// Type by exact id; reads its file at the first call (thread-safe).
  Result<const PartType*> type(std::string_view id) const;
  /// Type from text (board-local types); kept as long as the library.
  Result<const PartType*> adopt(const halfsplit::Node& document) const;
  /// All ids, sorted naturally; from file names alone.
  const std::vector<std::string>& ids() const;
  const Family* family(std::string_view id) const;  ///< nullptr when unknown
  const std::vector<Family>& families() const;
  /// Modes of a class; falls back to the class without technology, then to "logic"; never empty.
  const std::vector<Mode>& modes(std::string_view rate_class, std::string_view technology) const;
  const std::vector<ClassModes>& classes() const;
  /// Hash over all files of the folder (names and bytes).
  std::uint64_t hash() const;

 private:
  struct Impl;
  explicit Library(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace halfsplit::parts
