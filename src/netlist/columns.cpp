#include "netlist/columns.h"

#include <algorithm>

#include "base/text.h"

namespace halfsplit::netlist {

Columns::Columns(std::string_view line) {
  const std::size_t last = line.find_last_not_of(" \t");
  line_ = line.substr(0, last == std::string_view::npos ? 0 : last + 1);
  width_ = line_.size();
  const bool ascii = std::all_of(line_.begin(), line_.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
  if (ascii) return;
  for (std::size_t i = 0; i < line_.size(); ++i)
    if ((static_cast<unsigned char>(line_[i]) & 0xc0u) != 0x80u) starts_.push_back(static_cast<std::uint32_t>(i));
  width_ = starts_.size();
}

void Columns::count_bytes() {
  starts_.clear();
  width_ = line_.size();
}

std::size_t Columns::offset(std::size_t column) const {
  std::size_t index = column - 1;
  if (starts_.empty()) {
    while (index < line_.size() && (static_cast<unsigned char>(line_[index]) & 0xc0u) == 0x80u) ++index;  // never into a character
    return std::min(index, line_.size());
  }
  return index < starts_.size() ? starts_[index] : line_.size();
}

std::string_view Columns::raw(std::size_t first, std::size_t last) const {
  if (first == 0 || first > width_ || last < first) return {};
  const std::size_t start = offset(first), end = offset(last + 1);
  return line_.substr(start, end - start);
}

std::string_view Columns::field(std::size_t first, std::size_t last) const { return trim(raw(first, last)); }

char Columns::at(std::size_t column) const {
  if (column == 0 || column > width_) return ' ';
  const char one = starts_.empty() ? line_[column - 1] : line_[starts_[column - 1]];
  return static_cast<unsigned char>(one) < 0x80 ? one : '\x7f';
}

std::optional<PaddedNumber> padded_number(std::string_view text) {
  PaddedNumber out;
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  bool negative = false;
  if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
    negative = text.front() == '-';
    text.remove_prefix(1);
  }
  const std::size_t first = text.find_first_not_of(' ');
  if (first == std::string_view::npos) return std::nullopt;
  out.blanks = first > 0;
  text.remove_prefix(first);
  constexpr std::size_t kMostDigits = 9;
  if (text.size() > kMostDigits) return std::nullopt;
  for (const char c : text) {
    if (c < '0' || c > '9') return std::nullopt;
    out.value = out.value * 10 + (c - '0');
  }
  if (negative) out.value = -out.value;
  return out;
}

}  // namespace halfsplit::netlist
