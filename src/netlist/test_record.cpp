#include "netlist/test_record.h"

#include <algorithm>

#include "base/text.h"

namespace halfsplit::netlist {

namespace {

constexpr const char* kColumnsHint =
    "fields have fixed columns: code 1-3, net 4-17, reference 21-26, dash 27, pin 28-31, hole 33-38, access 39-41, X 42-49, Y 50-57";

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Where X and Y stand and what they say.
struct Coordinates {
  std::size_t x_column = 0, end_column = 0;  ///< of the X; first column behind Y
  std::int32_t x = 0, y = 0;
  bool blanks = false;
};

/// Letter, sign or blanks, digits, from `column` on.
std::optional<PaddedNumber> axis_at(const Columns& line, std::size_t column, char letter, std::size_t& end) {
  if (line.at(column) != letter) return std::nullopt;
  std::size_t last = column + 1;
  constexpr std::size_t kWidest = 12;
  if (line.at(last) == '+' || line.at(last) == '-') ++last;
  while (line.at(last) == ' ' && last < column + kWidest) ++last;
  while (is_digit(line.at(last)) && last < column + kWidest) ++last;
  end = last;
  return padded_number(line.raw(column + 1, last - 1));
}

std::optional<Coordinates> by_columns(const Columns& line) {
  if (line.at(42) != 'X' || line.at(50) != 'Y') return std::nullopt;
  const auto x = padded_number(line.raw(43, 49)), y = padded_number(line.raw(51, 57));
  if (!x || !y) return std::nullopt;
  return Coordinates{42, 58, x->value, y->value, x->blanks || y->blanks};
}

/// The first "X.. Y.." behind the pin; sizes ("X0630Y0630" behind the coordinates) come later in the line.
std::optional<Coordinates> by_search(const Columns& line) {
  for (std::size_t column = 27; column <= line.width(); ++column) {
    std::size_t x_end = 0, y_end = 0;
    const auto x = axis_at(line, column, 'X', x_end);
    if (!x) continue;
    while (line.at(x_end) == ' ' && x_end < column + 14) ++x_end;
    const auto y = axis_at(line, x_end, 'Y', y_end);
    if (y) return Coordinates{column, y_end, x->value, y->value, x->blanks || y->blanks};
  }
  return std::nullopt;
}

std::optional<RecordTrouble> trouble(std::string message, std::size_t column) {
  return RecordTrouble{std::move(message), column, kColumnsHint};
}

class Reader {
 public:
  Reader(const Columns& line, std::size_t number, TestRecord& record, Deviations& deviations)
      : line_(line), number_(number), record_(record), deviations_(deviations) {}

  std::optional<RecordTrouble> run() {
    find_coordinates();
    if (auto bad = read_net()) return bad;
    if (auto bad = read_reference()) return bad;
    read_hole();
    read_access();
    if (place_) read_tail();
    return std::nullopt;
  }

 private:
  void count(DeviationKind kind, std::size_t column) { deviations_.add(kind, number_, column); }

  void find_coordinates() {
    place_ = by_columns(line_);
    if (!place_ && (place_ = by_search(line_))) {
      count(DeviationKind::coordinates_off_column, place_->x_column);
      shift_ = static_cast<int>(place_->x_column) - 42;
    }
    if (!place_) {
      count(DeviationKind::coordinates_missing, std::min<std::size_t>(line_.width(), 42));
      return;
    }
    record_.x = place_->x;
    record_.y = place_->y;
    if (place_->blanks) count(DeviationKind::numbers_blank_padded, place_->x_column);
  }

  bool continuation() const { return record_.code < 100; }

  std::optional<RecordTrouble> read_net() {
    record_.net = line_.field(4, 17);
    net_shift_ = 0;
    if (record_.net.empty() && line_.blank(18, 20)) return std::nullopt;
    if (line_.at(4) == ' ') return trouble("the net name does not start in column 4", 4);
    if (!line_.blank(18, 20)) {
      const std::size_t end = first_blank(4);
      if (end <= 18) return trouble("columns 18-20 are not blank", 18);
      record_.net = line_.field(4, end - 1);
      // a long name either runs into the blank columns or pushes the rest along
      if (end > 21) net_shift_ = static_cast<int>(end) - 18;
      if (end > 21 && shift_ <= 0) return trouble("the net name runs into the reference", 18);
      count(DeviationKind::name_over_width, 18);
    }
    if (record_.net.find_first_of(" \t") != std::string_view::npos) return trouble("a blank inside the net name", 4 + record_.net.find_first_of(" \t"));
    return std::nullopt;
  }

  std::size_t first_blank(std::size_t column) const {
    while (column <= line_.width() && line_.at(column) != ' ') ++column;
    return column;
  }

  std::optional<RecordTrouble> read_reference() {
    const std::size_t first = 21 + static_cast<std::size_t>(net_shift_);
    std::size_t dash = first + 6;
    if (line_.at(dash) != '-' && line_.at(dash) != ' ') {
      count(DeviationKind::reference_over_width, dash);
      constexpr std::size_t kLongest = 16;
      while (dash < first + kLongest && line_.at(dash) != '-' && line_.at(dash) != ' ') ++dash;
      if (dash == first + kLongest) return trouble("no dash behind the reference", first + 6);
    }
    record_.dash = line_.at(dash) == '-';
    record_.ref = line_.field(first, dash - 1);
    // four characters, but never into the M of column 32 when the reference runs over
    record_.pin = line_.field(dash + 1, std::min(dash + 4, 31 + shifted()));
    const std::size_t blank = record_.pin.find(' ');
    if (blank != std::string_view::npos) record_.pin = record_.pin.substr(0, blank);
    record_.middle = line_.at(dash + 5) == 'M' || line_.at(32 + shifted()) == 'M';
    record_.via = upper(record_.ref) == "VIA";
    if (continuation()) return std::nullopt;
    if (!record_.ref.empty() && !record_.dash && !record_.pin.empty()) {
      if (!place_) return trouble("no dash in column 27 and no coordinates", 27);
      count(DeviationKind::dash_missing, dash);
    }
    if (!place_ && record_.ref.empty()) return trouble("the record ends before the reference", std::max<std::size_t>(line_.width(), 1));
    const bool drilled = line_.at(33) == 'D' && padded_number(line_.raw(34, 37));
    if (!place_ && !record_.dash && !record_.via && !drilled) return trouble("no dash in column 27 and no coordinates", 27);
    return std::nullopt;
  }

  std::size_t shifted() const { return shift_ > 0 ? static_cast<std::size_t>(shift_) : 0; }

  void read_hole() {
    if (shift_ < -5) return;  // the columns in front of the coordinates are not where they should be
    const std::size_t base = static_cast<std::size_t>(33 + shift_);
    const auto drill = padded_number(line_.raw(base + 1, base + 4));
    const char plating = line_.at(base + 5);
    record_.plating = plating == 'P' || plating == 'U' ? plating : ' ';
    if (line_.at(base) == 'D' && drill && drill->value > 0) {
      record_.hole = true;
      record_.drill = drill->value;
      if (drill->blanks || line_.at(base + 1) == ' ') count(DeviationKind::numbers_blank_padded, base);
      if (record_.plating == ' ') count(DeviationKind::hole_without_plating, base + 5);
    } else if (record_.plating != ' ') {
      count(DeviationKind::plating_without_hole, base + 5);
    }
  }

  void read_access() {
    if (shift_ < -10) return;
    const std::size_t base = static_cast<std::size_t>(39 + shift_);
    if (line_.at(base) != 'A') return;
    const auto access = padded_number(line_.raw(base + 1, base + 2));
    if (!access || access->value < 0) return;
    record_.access = access->value;
    if (access->value > 2) count(DeviationKind::side_by_layer_count, base);
  }

  /// Size, rotation and mask flag: all optional, wherever they stand.
  void read_tail() {
    std::size_t column = place_->end_column;
    if (column > line_.width()) {
      count(DeviationKind::record_short, column);
      return;
    }
    const auto width = sized(column, 'X');
    if (width) {
      record_.width = record_.height = width->value;
      const std::size_t at = column + 5;
      if (width->blanks) count(DeviationKind::numbers_blank_padded, column);
      if (const auto height = sized(at, 'Y')) {
        if (height->value == 0) count(DeviationKind::round_as_zero, at);
        else if (height->value == width->value) count(DeviationKind::round_as_equal, at);
        if (height->value > 0) record_.height = height->value;
      } else {
        count(DeviationKind::round_as_absent, at);
      }
    }
    read_rotation_and_mask(column);
  }

  std::optional<PaddedNumber> sized(std::size_t column, char letter) const {
    if (line_.at(column) != letter) return std::nullopt;
    auto number = padded_number(line_.raw(column + 1, column + 4));
    if (number && line_.at(column + 1) == ' ') number->blanks = true;
    return number;
  }

  void read_rotation_and_mask(std::size_t column) {
    const std::string_view tail = line_.from(column);
    const std::size_t rotation = tail.find('R');
    if (rotation != std::string_view::npos && rotation + 1 < tail.size() && tail[rotation + 1] == ' ' && is_digit(tail.back()))
      count(DeviationKind::numbers_blank_padded, column + rotation);
    const std::size_t mask = tail.find('S');
    if (mask == std::string_view::npos) return;
    const std::size_t at = column + mask;
    if (at - place_->end_column == 14) count(DeviationKind::mask_early, at);  // column 72 when the coordinates stand in 42-57
    const std::string_view flag = trim(tail.substr(mask + 1, 12));
    const bool digit = flag.empty() || (flag[0] >= '0' && flag[0] <= '3' && (flag.size() == 1 || !is_digit(flag[1])));
    if (!digit) count(DeviationKind::mask_number, at + 1);
  }

  const Columns& line_;
  std::size_t number_;
  TestRecord& record_;
  Deviations& deviations_;
  std::optional<Coordinates> place_;
  int shift_ = 0, net_shift_ = 0;
};

}  // namespace

std::optional<RecordTrouble> read_test_record(const Columns& line, std::size_t line_number, TestRecord& record, Deviations& deviations) {
  record.code = (line.at(1) - '0') * 100 + (line.at(2) - '0') * 10 + (line.at(3) - '0');
  return Reader(line, line_number, record, deviations).run();
}

}  // namespace halfsplit::netlist
