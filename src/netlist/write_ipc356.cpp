#include "netlist/write_ipc356.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "base/random.h"
#include "base/text.h"
#include "netlist/ipc_units.h"
#include "netlist/write_names.h"

namespace halfsplit::netlist {

namespace {

using Kind = DeviationKind;

class Writer {
 public:
  Writer(const Netlist& netlist, const Ipc356Style& style)
      : netlist_(netlist), style_(style), random_(style.seed), names_(netlist, style), end_(random_.chance(0.5) && style.seed != 0 ? "\r\n" : "\n") {}

  std::string run() {
    if (on(Kind::byte_order_mark)) out_ += "\xef\xbb\xbf";
    header();
    std::string body;
    out_.swap(body);
    if (on(Kind::via_without_net)) line(point("N/C", "VIA", "", Pad{Point{30, 30}, 0.3, true, Side::both, true, 0.6, 0.6}, false));
    vias();
    pins();
    holes();
    copper();
    out_.swap(body);
    for (const std::string& alias : names_.lines()) line(alias);
    out_ += body;
    if (!on(Kind::end_missing)) line("999");
    if (on(Kind::text_after_end) && !on(Kind::end_missing)) line("C  end of the list");
    return std::move(out_);
  }

 private:
  bool on(Kind kind) const { return style_.deviations.count(kind) != 0; }
  bool now(Kind kind) { return on(kind) && random_.chance(0.5); }

  void line(std::string text) {
    constexpr std::size_t kWidth = 80;
    if (now(Kind::line_padded) && text.size() < kWidth) text.resize(kWidth, ' ');
    out_ += text + end_;
    if (on(Kind::line_blank) && random_.chance(0.05)) out_ += end_;
  }

  void header() {
    const bool sparse = on(Kind::header_missing);
    const std::string title = netlist_.title.empty() ? "board" : netlist_.title;
    if (!sparse) line("P  JOB   " + title);
    line("P  CODE  00");
    if (!on(Kind::units_missing)) line("P  UNITS " + stated_units());
    if (!sparse) {
      line("P  TITLE " + title);
      line("P  NUM   1");
      line("P  REV   " + netlist_.revision);
      line("P  VER   IPC-D-356A");
      line("P  IMAGE PRIMARY");
    }
    if (on(Kind::parameter_unknown)) line("P  gridLayout N");
    if (on(Kind::parameter_extra)) line("P  TOL    0 1 000001 000001");
  }

  std::string stated_units() const {
    if (on(Kind::units_contradict)) return style_.units == Units::micrometres ? "CUST 2" : "CUST 1";
    return style_.units == Units::micrometres ? "CUST 1" : "CUST 0";
  }

  long units(double mm) const { return std::lround(mm / millimetres_per_unit(style_.units)); }

  /// Letter, sign, six digits.
  std::string axis(char letter, long value, bool blanks) const {
    const char sign = value < 0 ? '-' : (blanks ? ' ' : '+');
    return blanks ? fmt::format("{}{}{:>6}", letter, sign, std::labs(value)) : fmt::format("{}{}{:06}", letter, sign, std::labs(value));
  }

  std::string four(char letter, double mm, bool blanks) const {
    const long value = std::clamp(units(mm), 0L, 9999L);
    return blanks ? fmt::format("{}{:>4}", letter, value) : fmt::format("{}{:04}", letter, value);
  }

  int access_of(Side side) const {
    const int last = on(Kind::side_by_layer_count) ? 4 : 2;
    switch (side) {
      case Side::top: return 1;
      case Side::bottom: return last;
      case Side::inner: return last == 4 ? 2 : 1;
      default: return 0;
    }
  }

  std::string hole(const Pad& pad, bool blanks) {
    if (pad.drill_mm <= 0) return now(Kind::plating_without_hole) ? "     P" : "      ";
    const char plating = now(Kind::hole_without_plating) ? ' ' : (pad.plated ? 'P' : 'U');
    return four('D', pad.drill_mm, blanks) + plating;
  }

  std::string size(const Pad& pad, bool blanks) {
    const bool round = pad.height_mm == pad.width_mm;
    std::string text = four('X', pad.width_mm, blanks);
    if (!round) return text + four('Y', pad.height_mm, blanks);
    if (now(Kind::round_as_absent)) return text + "     ";
    return text + (now(Kind::round_as_equal) && pad.width_mm > 0 ? four('Y', pad.width_mm, blanks) : "Y0000");
  }

  std::string mask() {
    const std::string value = now(Kind::mask_number) ? (random_.chance(0.5) ? "-346897069" : "820210691") : "0";
    return (now(Kind::mask_early) ? "S" : " S") + value;
  }

  /// One record, from its code to its mask flag. Without a dash it is no pin: a via or a hole.
  std::string point(const std::string& net, const std::string& ref, const std::string& pin, const Pad& pad, bool dashed) {
    const bool far = pad.at && (std::labs(units(pad.at->x_mm)) > 999999 || std::labs(units(pad.at->y_mm)) > 999999);
    const bool placed = pad.at && !far && (!dashed || ref == "VIA" || !now(Kind::coordinates_missing));
    const bool blanks = now(Kind::numbers_blank_padded);
    const char dash = dashed && (!placed || !now(Kind::dash_missing)) ? '-' : ' ';
    std::string text = fmt::format("{}{:<17}{:<6}{}{:<4}", pad.drill_mm > 0 ? "317" : "327", net, ref, dash, pin);
    if (text.size() > 31) text = text.substr(0, text.find_last_not_of(' ') + 1);
    text.resize(31, ' ');
    text += pad.middle && !(ref == "VIA" && now(Kind::via_without_middle)) ? 'M' : ' ';
    if (placed && now(Kind::coordinates_off_column)) text += std::string(1 + random_.below(3), ' ');
    text += hole(pad, blanks);
    text += fmt::format("A{:02}", access_of(pad.side));
    if (placed) text += axis('X', units(pad.at->x_mm), blanks) + axis('Y', units(pad.at->y_mm), blanks);
    if (!placed || now(Kind::record_short)) return text;
    return text + size(pad, blanks) + (blanks ? "R 90" : "R000") + mask();
  }

  void vias() {
    for (std::size_t i = 0; i < netlist_.nets.size(); ++i) {
      for (const Point& at : netlist_.nets[i].vias)
        line(point(names_.net(NetIndex(i)), "VIA", "", Pad{at, 0.4, true, Side::both, true, 0.9, 0.9}, now(Kind::via_with_dash)));
    }
    for (const Point& at : netlist_.loose_vias) line(point("N/C", "VIA", "", Pad{at, 0.4, true, Side::both, true, 0.9, 0.9}, false));
  }

  std::string net_of(PinAt at) {
    const Pin& pin = netlist_.pin(at);
    if (pin.net.known()) return names_.net(pin.net);
    if (now(Kind::unconnected_blank)) return "";
    if (now(Kind::unconnected_named)) return names_.own_net(names_.ref(at.part), pin.number);
    return "N/C";
  }

  void pins() {
    std::vector<PinAt> order;
    for (std::size_t p = 0; p < netlist_.parts.size(); ++p)
      for (std::uint32_t i = 0; i < netlist_.parts[p].pins.size(); ++i) order.push_back({PartIndex(p), i});
    const bool net_by_net = style_.seed != 0 && random_.chance(0.5);
    if (net_by_net)
      std::stable_sort(order.begin(), order.end(), [&](PinAt a, PinAt b) { return netlist_.pin(a).net < netlist_.pin(b).net; });
    for (const PinAt at : order) write_pin(at);
  }

  void write_pin(PinAt at) {
    const Pin& pin = netlist_.pin(at);
    const std::string net = net_of(at), ref = names_.ref(at.part), number = names_.pin(at);
    if (pin.pads.empty()) return line(point(net, ref, number, Pad{}, true));
    const bool continued = style_.seed != 0 && random_.chance(0.5);
    for (std::size_t i = 0; i < pin.pads.size(); ++i) {
      std::string record = point(net, ref, number, pin.pads[i], true);
      if (i > 0 && continued) record = (pin.pads[i].drill_mm > 0 ? "017" : "027") + std::string(28, ' ') + record.substr(31);
      line(record);
    }
    if (on(Kind::record_not_used) && random_.chance(0.1)) line("099" + net);
  }

  void holes() {
    for (const Hole& hole : netlist_.holes) {
      const Pad pad{hole.at, hole.drill_mm, hole.plated, Side::both, false, hole.drill_mm, hole.drill_mm};
      const std::string ref = hole.ref.size() <= 6 ? hole.ref : hole.ref.substr(0, 6);
      std::string record = point(hole.net.known() ? names_.net(hole.net) : "N/C", ref, "", pad, false);
      if (!hole.plated) record.replace(0, 3, "367");
      line(record);
    }
  }

  std::string path(const std::vector<Point>& points) const {
    std::string text;
    for (const Point& at : points) text += fmt::format(" X{}Y{}", units(at.x_mm), units(at.y_mm));
    return text;
  }

  /// Breaks a path into records of at most 80 columns.
  void long_record(const std::string& head, const std::string& continued, const std::string& text) {
    constexpr std::size_t kWidth = 80;
    std::string record = head;
    for (const std::string_view word : words(text)) {
      if (record.size() + 1 + word.size() > kWidth) {
        line(record);
        record = continued;
      }
      record += " " + std::string(word);
    }
    line(record);
  }

  void copper() {
    for (const Track& track : netlist_.tracks) {
      const std::string net = track.net.known() ? names_.net(track.net) : "N/C";
      const std::string head = fmt::format("378{:<15}L{:02}", net.substr(0, 14), std::clamp(track.layer, 0, 99));
      long_record(head, std::string("078") + std::string(14, ' '), fmt::format("X{}", units(track.width_mm)) + path(track.points));
    }
    for (const Neighbours& pair : netlist_.neighbours) long_record("379" + names_.net(pair.first), "079", names_.net(pair.second));
    for (const auto& piece : netlist_.outline) {
      const std::string aperture = on(Kind::outline_without_aperture) ? "" : "X100";
      long_record("389BOARD_EDGE    ", std::string("089") + std::string(14, ' '), aperture + path(piece));
    }
  }

  const Netlist& netlist_;
  const Ipc356Style& style_;
  Random random_;
  WrittenNames names_;
  std::string end_, out_;
};

}  // namespace

const std::vector<DeviationKind>& writable_deviations() {
  static const std::vector<DeviationKind> kKinds = {
      Kind::byte_order_mark, Kind::line_padded, Kind::line_blank, Kind::header_missing, Kind::parameter_unknown, Kind::parameter_extra,
      Kind::units_missing, Kind::units_contradict, Kind::end_missing, Kind::text_after_end, Kind::record_not_used, Kind::mask_early,
      Kind::mask_number, Kind::round_as_absent, Kind::round_as_equal, Kind::record_short, Kind::numbers_blank_padded,
      Kind::coordinates_off_column, Kind::coordinates_missing, Kind::plating_without_hole, Kind::hole_without_plating, Kind::side_by_layer_count,
      Kind::via_without_net, Kind::via_with_dash, Kind::via_without_middle, Kind::reference_over_width, Kind::dash_missing, Kind::name_over_width,
      Kind::unconnected_blank, Kind::unconnected_named, Kind::name_cut, Kind::name_escaped, Kind::name_suffixed, Kind::names_upper_case,
      Kind::alias_short, Kind::alias_in_comment, Kind::outline_without_aperture};
  return kKinds;
}

Ipc356Style ipc356_style(std::uint64_t seed) {
  Ipc356Style style;
  style.seed = seed;
  if (seed == 0) return style;
  Random random(seed);
  for (const DeviationKind kind : writable_deviations())
    if (random.chance(0.5)) style.deviations.insert(kind);
  style.units = random.chance(0.5) ? Units::micrometres : Units::tenth_mils;
  return style;
}

std::string write_ipc356(const Netlist& netlist, const Ipc356Style& style) { return Writer(netlist, style).run(); }

}  // namespace halfsplit::netlist
