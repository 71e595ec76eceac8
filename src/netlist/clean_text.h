// netlist/clean_text.h - the bytes of a text file as UTF-8 without marks: what every reader of this module starts from.
//
// Accepts:  UTF-8, UTF-16 with its mark, one byte a character (ISO 8859-1); line ends of all three kinds; a closing control-Z.
// Errors:   over the limit, NUL bytes and other control characters (not a text file): one Error with its place.
#pragma once
#include <string>
#include <string_view>

#include "base/result.h"
#include "netlist/deviation.h"

namespace halfsplit::netlist {

inline constexpr std::size_t kMostBoardFileBytes = std::size_t{32} << 20;

/// The text as UTF-8; what was changed is counted in `deviations`.
Result<std::string> clean_text(std::string_view bytes, const std::string& file, Deviations& deviations);

/// Walks over lines; ends are \n, \r\n or \r.
class Lines {
 public:
  explicit Lines(std::string_view text) : rest_(text) {}
  /// False at the end of the text.
  bool next(std::string_view& line);
  std::size_t number() const { return number_; }  ///< of the line last given, from 1

 private:
  std::string_view rest_;
  std::size_t number_ = 0;
};

}  // namespace halfsplit::netlist
