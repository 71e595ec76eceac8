#include "netlist/ipc_copper.h"

#include "netlist/columns.h"

namespace halfsplit::netlist {

namespace {

/// Takes "X-0123" off the front; false when the text does not go on with this letter and a number.
bool take_axis(std::string_view& text, char letter, std::int32_t& value, bool& is_signed) {
  if (text.empty() || text.front() != letter) return false;
  std::size_t end = 1;
  if (end < text.size() && (text[end] == '+' || text[end] == '-')) ++end;
  is_signed = is_signed || end == 2;
  while (end < text.size() && text[end] >= '0' && text[end] <= '9') ++end;
  const auto number = padded_number(text.substr(1, end - 1));
  if (!number) return false;
  value = number->value;
  text.remove_prefix(end);
  return true;
}

}  // namespace

void PenPath::read(std::string_view text) {
  while (!text.empty()) {
    const std::size_t start = text.find_first_not_of(" \t");
    if (start == std::string_view::npos) return;
    text.remove_prefix(start);
    if (text.front() == '*') {
      lifted_ = true;
      text.remove_prefix(1);
      continue;
    }
    const std::size_t end = text.find_first_of(" \t*");
    word(text.substr(0, end));
    if (end == std::string_view::npos) return;
    text.remove_prefix(end);
  }
}

void PenPath::word(std::string_view text) {
  std::int32_t x = 0, y = 0;
  bool is_signed = false;
  const bool has_x = take_axis(text, 'X', x, is_signed);
  const bool has_y = take_axis(text, 'Y', y, is_signed);
  if ((!has_x && !has_y) || !text.empty()) {
    ++unreadable_;
    return;
  }
  const bool first = !started_;
  started_ = true;
  // the first word is the aperture: "X150" round, "X1234Y1234" rectangular; an outline's "X0Y0" is a point already
  if (first && has_x && !is_signed && (!has_y || kind_ == Kind::conductor)) {
    has_aperture_ = true;
    aperture_ = has_y && y < x ? y : x;
    return;
  }
  point(has_x, has_y, x, y);
}

void PenPath::point(bool has_x, bool has_y, std::int32_t x, std::int32_t y) {
  if (has_x) pen_.x = x;
  if (has_y) pen_.y = y;
  if (lifted_) pieces_.emplace_back();
  lifted_ = false;
  pieces_.back().push_back(pen_);
}

}  // namespace halfsplit::netlist
