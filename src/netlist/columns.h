// netlist/columns.h - one record line by columns, counted from 1 as the format's description counts them.
#pragma once
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace halfsplit::netlist {

class Columns {
 public:
  explicit Columns(std::string_view line);
  /// Columns first..last, as far as the line reaches; trailing and leading blanks stay.
  std::string_view raw(std::size_t first, std::size_t last) const;
  /// The same without blanks around it.
  std::string_view field(std::size_t first, std::size_t last) const;
  /// The byte in one column; a blank beyond the end; '\x7f' stands for a character that is not ASCII.
  char at(std::size_t column) const;
  bool blank(std::size_t first, std::size_t last) const { return field(first, last).empty(); }
  /// Columns up to the last character that is no blank.
  std::size_t width() const { return width_; }
  std::string_view from(std::size_t first) const { return raw(first, width_); }
  bool ascii() const { return starts_.empty(); }
  /// Counts bytes as columns, for writers that counted them; only differs where the line is not ASCII.
  void count_bytes();

 private:
  std::size_t offset(std::size_t column) const;
  std::string_view line_;
  std::vector<std::uint32_t> starts_;  ///< offset of each column; empty when column = byte
  std::size_t width_ = 0;
};

/// A number as the format's writers put it: sign, then blanks or zeros, then digits. Nothing when there is no digit, another character, or over 9 digits.
struct PaddedNumber {
  std::int32_t value = 0;
  bool blanks = false;  ///< blanks stand in place of zeros
};
std::optional<PaddedNumber> padded_number(std::string_view text);

}  // namespace halfsplit::netlist
