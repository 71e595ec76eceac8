#include "netlist/ipc356.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/random.h"
#include "base/text.h"
#include "netlist/assemble.h"
#include "netlist/clean_text.h"
#include "netlist/columns.h"
#include "netlist/ipc_copper.h"
#include "netlist/ipc_names.h"
#include "netlist/ipc_points.h"
#include "netlist/ipc_units.h"
#include "netlist/ipc_values.h"
#include "netlist/test_record.h"

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kLongestLine = 4096;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Records 378 or 389 as they are being read.
struct OpenPath {
  bool conductor = true;
  std::string_view net;
  int layer = 0;
  std::size_t line = 0;
  PenPath path;
};

class Reader {
 public:
  Reader(const std::string& file, Deviations& deviations) : file_(file), deviations_(deviations), assembler_(deviations), names_(deviations) {}

  Result<Netlist> run(std::string_view text) {
    Lines lines(text);
    std::string_view line;
    while (lines.next(line)) {
      number_ = lines.number();
      if (line.size() > kLongestLine) return fail(1, "a line of over 4,096 characters", "records have at most 80 columns");
      read_line(line);
    }
    if (bad_ > 0) return refusal();
    if (points_.empty()) return no_records();
    return finish();
  }

 private:
  Error fail(std::size_t column, std::string message, std::string hint) const {
    Place place;
    place.file = file_;
    place.line = static_cast<std::uint32_t>(number_);
    place.column = static_cast<std::uint32_t>(column);
    return bad_input(std::move(message), place, std::move(hint));
  }
  void refuse(std::size_t column, std::string message, std::string hint = {}) {
    ++bad_;
    errors_.add(fail(column, std::move(message), std::move(hint)));
  }

  /// A file that is mostly wrong is no such file at all: one error, not twenty.
  Error refusal() const {
    if (bad_ <= points_.size()) return errors_.joined();
    Error error = errors_.list().front();
    error.message = "only looks like IPC-D-356A (" + std::to_string(bad_) + " lines can't be read); here " + error.message;
    return error;
  }
  Error no_records() const {
    Place place;
    place.file = file_;
    return bad_input("holds no test record (317 or 327)", place, "is it an IPC-D-356A netlist, and not cut off?");
  }

  void read_line(std::string_view line) {
    const Columns columns(line);
    if (columns.width() == 0) return deviations_.add(DeviationKind::line_blank, number_, 1);
    if (ended_) return deviations_.add(DeviationKind::text_after_end, number_, 1);
    look_at_line(line, columns);
    const char kind = columns.at(1);
    if (kind == 'C') return read_comment(columns);
    if (kind == 'P') return read_parameter(columns);
    if (is_digit(kind)) return read_record(columns);
    refuse(1, "a line starts with " + in_quotes(std::string_view(line).substr(0, 1)) + ", not with C, P or a record code",
           "IPC-D-356A lines start with C (comment), P (parameter) or a three-digit code");
  }

  void look_at_line(std::string_view line, const Columns& columns) {
    if (columns.width() > 80) deviations_.add(DeviationKind::line_over_80, number_, 81);
    if (line.back() == ' ') deviations_.add(DeviationKind::line_padded, number_, columns.width() + 1);
    if (!columns.ascii()) deviations_.add(DeviationKind::text_not_ascii, number_, 1);
    const std::size_t tab = line.find('\t');
    if (tab != std::string_view::npos) deviations_.add(DeviationKind::tab_in_line, number_, tab + 1);
  }

  void read_comment(const Columns& columns) {
    const std::string_view text = trim(columns.from(2));
    const std::size_t end = text.find(' ');
    const std::string_view word = text.substr(0, end), rest = end == std::string_view::npos ? std::string_view() : trim(text.substr(end));
    if (starts_with(word, "NNAME")) return names_.define_alias(word, rest, true, number_);
    const std::vector<std::string_view> pieces = words(rest);
    if (word == "REFNAME" && pieces.size() >= 2) names_.define_ref(pieces[0], trim(rest.substr(pieces[0].size())));
    if (word == "PINNAME" && pieces.size() >= 3)
      names_.define_pin(pieces[0], pieces[1], rest.substr(static_cast<std::size_t>(pieces[2].data() - rest.data())));
  }

  void read_parameter(const Columns& columns) {
    static constexpr std::array<std::string_view, 9> kKnown = {"JOB", "CODE", "UNITS", "TITLE", "NUM", "REV", "VER", "IMAGE", "REMOVED_CONDUCTORS"};
    static constexpr std::array<std::string_view, 4> kExtra = {"FORM", "DIM", "TOL", "AREA"};
    const std::string_view text = trim(columns.from(2));
    const std::size_t end = text.find(' ');
    const std::string_view word = text.substr(0, end), value = end == std::string_view::npos ? std::string_view() : trim(text.substr(end));
    if (starts_with(word, "NNAME")) return names_.define_alias(word, value, false, number_);
    seen_.push_back(std::string(word));
    Netlist& netlist = assembler_.netlist();
    if (word == "UNITS") stated_units_ = units_named(value);
    else if (word == "TITLE" || (word == "JOB" && netlist.title.empty())) netlist.title = std::string(value);
    else if (word == "REV") netlist.revision = std::string(value);
    else if (word == "IMAGE" && upper(value) != "PRIMARY") deviations_.add(DeviationKind::image_further, number_, 10);
    else if (std::any_of(kExtra.begin(), kExtra.end(), [&](std::string_view extra) { return starts_with(word, extra); }))
      deviations_.add(DeviationKind::parameter_extra, number_, 4);
    else if (std::find(kKnown.begin(), kKnown.end(), word) == kKnown.end())
      deviations_.add(DeviationKind::parameter_unknown, number_, 4);
  }

  void read_record(Columns columns) {
    if (columns.at(1) == '9' && columns.at(2) == '9' && columns.at(3) == '9') {
      ended_ = true;
      return;
    }
    if (!is_digit(columns.at(2)) || !is_digit(columns.at(3)))
      return refuse(1, "no three-digit record code", "records start with 317, 327, 367 or another code of the format");
    const std::string_view code = columns.raw(1, 3);
    if (code == "317" || code == "327" || code == "367" || code == "307" || code == "017" || code == "027") return read_point(columns);
    if (code == "378" || code == "389") return open_path(columns, code == "378");
    if (code == "078" || code == "089") return continue_path(columns);
    if (code == "379" || code == "079") return read_neighbours(columns, code == "379");
    if (code == "370" || code == "380" || code == "070" || code == "080") return values_.read(columns, number_, code[0] == '3', deviations_);
    const bool unused = code == "088" || code == "099" || code == "309" || code == "390" || code == "090";
    deviations_.add(unused ? DeviationKind::record_not_used : DeviationKind::record_unknown, number_, 1);
  }

  void read_point(Columns& columns) {
    // writers count bytes or characters where a name is not ASCII: the coordinates tell which
    if (!columns.ascii() && columns.at(42) != 'X') columns.count_bytes();
    PointRecord point;
    point.line = static_cast<std::uint32_t>(number_);
    if (const auto trouble = read_test_record(columns, number_, point.record, deviations_))
      return refuse(trouble->column, trouble->message, trouble->hint);
    if (point.record.code < 100 && !take_over(point.record)) return;
    points_.push_back(point);
  }

  /// A continuation belongs to the record before it.
  bool take_over(TestRecord& record) {
    if (points_.empty()) {
      deviations_.add(DeviationKind::continuation_alone, number_, 1);
      return !record.ref.empty();
    }
    const TestRecord& before = points_.back().record;
    record.net = before.net;
    record.ref = before.ref;
    record.pin = before.pin;
    record.dash = before.dash;
    record.via = before.via;
    record.middle = before.middle;
    record.code = before.code;
    return true;
  }

  void open_path(const Columns& columns, bool conductor) {
    OpenPath open{conductor, columns.field(4, 17), 0, number_, PenPath(conductor ? PenPath::Kind::conductor : PenPath::Kind::outline)};
    std::size_t start = 18;
    if (conductor) {
      if (columns.at(19) == 'L') open.layer = padded_number(columns.raw(20, 21)).value_or(PaddedNumber{}).value;
      start = 22;
    }
    open.path.read(columns.from(start));
    paths_.push_back(std::move(open));
  }

  void continue_path(const Columns& columns) {
    if (paths_.empty()) return deviations_.add(DeviationKind::continuation_alone, number_, 1);
    paths_.back().path.read(columns.from(4));
  }

  void read_neighbours(const Columns& columns, bool first) {
    const std::vector<std::string_view> names = words(columns.from(4));
    if (first) neighbours_.push_back({number_, {}});
    if (neighbours_.empty()) return deviations_.add(DeviationKind::continuation_alone, number_, 1);
    auto& list = neighbours_.back().names;
    list.insert(list.end(), names.begin(), names.end());
  }

  double choose_scale() {
    std::vector<UnitSample> samples;
    for (const PointRecord& point : points_)
      if (point.record.x && !point.record.via) samples.push_back({point.record.ref, point.record.pin, *point.record.x, *point.record.y});
    const UnitChoice choice = choose_units(stated_units_, std::move(samples));
    Netlist& netlist = assembler_.netlist();
    netlist.units = choice.units;
    if (stated_units_ == Units::not_known) deviations_.add(DeviationKind::units_missing, 1);
    if (choice.contradicts) deviations_.add(DeviationKind::units_contradict, 1);
    if (choice.contradicts || stated_units_ == Units::not_known)
      netlist.notes.push_back(fmt::format("units taken as {} from the spacing of the pins: the board is about {} mm long", name_of(choice.units),
                                          shown(choice.span_mm, 3)));
    return millimetres_per_unit(choice.units);
  }

  void count_header() {
    for (const std::string_view wanted : {"JOB", "VER", "TITLE", "IMAGE"})
      if (std::find(seen_.begin(), seen_.end(), wanted) == seen_.end()) deviations_.add(DeviationKind::header_missing, 1);
    if (!ended_) deviations_.add(DeviationKind::end_missing, number_);
    Netlist& netlist = assembler_.netlist();
    if (!ended_) netlist.notes.push_back("the closing 999 is missing: the file may be cut off");
    if (deviations_.count(DeviationKind::text_after_end) > 0)
      netlist.notes.push_back(fmt::format("{} lines after the closing 999 were not read", deviations_.count(DeviationKind::text_after_end)));
  }

  void add_copper(double scale) {
    const auto millimetres = [scale](UnitPoint at) { return Point{at.x * scale, at.y * scale}; };
    Netlist& netlist = assembler_.netlist();
    for (const OpenPath& open : paths_) {
      if (open.path.unreadable() > 0) deviations_.add(DeviationKind::conductor_unreadable, open.line, 22, open.path.unreadable());
      if (!open.conductor && open.path.without_aperture()) deviations_.add(DeviationKind::outline_without_aperture, open.line, 18);
      const bool edge = !open.conductor && upper(open.net) == "BOARD_EDGE";
      if (!open.conductor && !edge) deviations_.add(DeviationKind::record_not_used, open.line, 4);
      if (!open.conductor && !edge) continue;
      const NetIndex net = open.conductor ? names_.net(open.net, open.line, assembler_) : NetIndex();
      for (const auto& piece : open.path.pieces()) {
        std::vector<Point> points;
        for (const UnitPoint at : piece) points.push_back(millimetres(at));
        if (edge) netlist.outline.push_back(std::move(points));
        else netlist.tracks.push_back({net, open.layer, open.path.aperture() * scale, std::move(points)});
      }
    }
  }

  void add_neighbours() {
    for (const auto& list : neighbours_) {
      if (list.names.empty()) continue;
      const auto first = names_.find(list.names.front(), assembler_);
      for (std::size_t i = 0; i < list.names.size(); ++i) {
        const auto other = names_.find(list.names[i], assembler_);
        if (!other) deviations_.add(DeviationKind::neighbour_unknown, list.line, 4);
        if (i == 0 || !first || !other || *first == *other) continue;
        assembler_.netlist().neighbours.push_back({std::min(*first, *other), std::max(*first, *other)});
      }
    }
    auto& pairs = assembler_.netlist().neighbours;
    const auto key = [](const Neighbours& pair) { return std::pair(pair.first, pair.second); };
    std::sort(pairs.begin(), pairs.end(), [&](const auto& a, const auto& b) { return key(a) < key(b); });
    pairs.erase(std::unique(pairs.begin(), pairs.end(), [&](const auto& a, const auto& b) { return key(a) == key(b); }), pairs.end());
  }

  Result<Netlist> finish() {
    const double scale = choose_scale();
    count_header();
    add_points(points_, scale, names_, assembler_, deviations_);
    add_copper(scale);
    add_neighbours();
    values_.add(names_, assembler_);
    assembler_.netlist().format = "IPC-D-356A";
    return assembler_.finish(file_);
  }

  struct NeighbourList {
    std::size_t line = 0;
    std::vector<std::string_view> names;
  };

  const std::string& file_;
  Deviations& deviations_;
  Assembler assembler_;
  IpcNames names_;
  IpcValues values_;
  Errors errors_;
  std::size_t number_ = 0, bad_ = 0;
  bool ended_ = false;
  Units stated_units_ = Units::not_known;
  std::vector<std::string> seen_;
  std::vector<PointRecord> points_;
  std::vector<OpenPath> paths_;
  std::vector<NeighbourList> neighbours_;
};

}  // namespace

Result<Netlist> read_ipc356(std::string_view bytes, const std::string& file) {
  Deviations deviations(file);
  Result<std::string> text = clean_text(bytes, file, deviations);
  if (!text.ok()) return text.error();
  Result<Netlist> netlist = Reader(file, deviations).run(*text);
  if (netlist.ok()) netlist->hash = content_hash(bytes);
  return netlist;
}

}  // namespace halfsplit::netlist
