// netlist/deviation.h - what real files do differently from the letter of their format: kinds, counts and the first place of each.
//
// Idea:     a deviation is read and counted, never dropped silently and never an error; each reader returns its list beside what it read.
// Source:   record layouts of IPC-D-356A; the habits were counted on published boards (docs/import-deviations.md).
// Start at: Deviations::add(), Deviations::list().
#pragma once
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace halfsplit::netlist {

enum class DeviationKind : std::uint8_t {
  // the text as a whole
  byte_order_mark, text_utf16, text_not_ascii, line_over_80, line_padded, line_blank, tab_in_line,
  // header and order of an IPC-D-356A file
  header_missing, parameter_unknown, parameter_extra, units_missing, units_contradict, image_further, end_missing, text_after_end,
  record_unknown, record_not_used,
  // one test record
  mask_early, mask_number, round_as_zero, round_as_absent, round_as_equal, record_short, numbers_blank_padded, coordinates_off_column,
  coordinates_missing, plating_without_hole, hole_without_plating, side_by_layer_count, via_without_net, via_with_dash, via_without_middle,
  reference_blank_inside, reference_over_width, reference_may_be_cut, reference_missing, reference_unnumbered, hole_with_reference,
  hole_plated, dash_missing, pin_missing, pin_word, name_over_width, continuation_alone,
  // pins and nets
  unconnected_blank, unconnected_nc, unconnected_named, net_single_pin, pin_several_pads, reference_duplicate, pin_on_two_nets,
  name_cut, name_made_unique, name_escaped, name_sheet_path, name_suffixed, names_upper_case,
  // aliases
  alias_short, alias_with_blank, alias_in_comment, alias_undefined, alias_repeated, alias_same_name,
  // copper, outline, neighbours
  outline_without_aperture, conductor_unreadable, neighbour_unknown, component_unreadable,
  // tables (net CSV and BOM)
  separator_other, header_variant, rows_before_header, row_short, row_long, row_repeated, pin_type_unknown, quantity_disagrees,
  row_without_reference, reference_repeated, reference_range, value_column_missing, value_says_not_fitted, fitted_unreadable
};
inline constexpr std::size_t kDeviationKinds = static_cast<std::size_t>(DeviationKind::fitted_unreadable) + 1;

/// Stable word for JSON and tests, e.g. "mask-early".
const char* id_of(DeviationKind kind) noexcept;
/// One short sentence for people.
const char* title_of(DeviationKind kind) noexcept;
std::optional<DeviationKind> deviation_named(std::string_view id);

struct Deviation {
  DeviationKind kind;
  std::size_t count = 0;
  Place first;
};

/// Counter of one reader. Cheap to add to: places are kept as numbers until asked for.
class Deviations {
 public:
  explicit Deviations(std::string file = {}) : file_(std::move(file)), tally_(kDeviationKinds) {}
  void add(DeviationKind kind, std::size_t line = 0, std::size_t column = 0, std::size_t count = 1);
  std::size_t count(DeviationKind kind) const { return tally_[static_cast<std::size_t>(kind)].count; }
  /// Kinds met at least once, in the order of the enumeration.
  std::vector<Deviation> list() const;

 private:
  struct Tally {
    std::size_t count = 0;
    std::uint32_t line = 0, column = 0;
  };
  std::string file_;
  std::vector<Tally> tally_;
};

}  // namespace halfsplit::netlist
