#include "netlist/ipc_points.h"

#include <algorithm>
#include <unordered_map>
#include <unordered_set>

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kReferenceWidth = 6;

class PointAdder {
 public:
  PointAdder(double mm_per_unit, IpcNames& names, Assembler& assembler, Deviations& deviations)
      : scale_(mm_per_unit), names_(names), assembler_(assembler), deviations_(deviations) {}

  void look_over(const std::vector<PointRecord>& points) {
    for (const PointRecord& point : points) {
      const TestRecord& record = point.record;
      last_layer_ = std::max(last_layer_, record.access.value_or(0));
      if (!record.ref.empty() && !record.pin.empty()) numbered_.insert(record.ref);
      if (record.ref.size() < kReferenceWidth || names_.ref_is_key(record.ref) || !seen_full_.insert(record.ref).second) continue;
      if (record.ref.size() == kReferenceWidth) deviations_.add(DeviationKind::reference_may_be_cut, point.line, 21);
    }
  }

  void add(const PointRecord& point) {
    const TestRecord& record = point.record;
    const NetIndex net = names_.net(record.net, point.line, assembler_);
    if (record.via || record.ref.empty()) return add_via(point, net);
    if (record.ref.find(' ') != std::string_view::npos) deviations_.add(DeviationKind::reference_blank_inside, point.line, 21);
    const bool drilled_only = record.code == 367 && (!net.known() || record.pin.empty());
    const bool no_pin = record.pin.empty() && !record.dash && record.hole;
    if (drilled_only || no_pin) return add_hole(point, net);
    add_pin(point, net);
  }

 private:
  std::optional<Point> position(const TestRecord& record) const {
    if (!record.x || !record.y) return std::nullopt;
    return Point{*record.x * scale_, *record.y * scale_};
  }

  void add_via(const PointRecord& point, NetIndex net) {
    const TestRecord& record = point.record;
    if (!record.via) {
      deviations_.add(DeviationKind::reference_missing, point.line, 21);
    } else {
      if (record.dash) deviations_.add(DeviationKind::via_with_dash, point.line, 27);
      if (!record.middle) deviations_.add(DeviationKind::via_without_middle, point.line, 32);
      if (!net.known()) deviations_.add(DeviationKind::via_without_net, point.line, 4);
    }
    const auto at = position(record);
    if (!at) return;
    Netlist& netlist = assembler_.netlist();
    (net.known() ? netlist.nets[net.index()].vias : netlist.loose_vias).push_back(*at);
  }

  void add_hole(const PointRecord& point, NetIndex net) {
    const TestRecord& record = point.record;
    const bool plated = record.hole && record.plating == 'P';
    deviations_.add(plated ? DeviationKind::hole_plated : DeviationKind::hole_with_reference, point.line, 21);
    Hole hole;
    hole.ref = names_.ref(record.ref);
    hole.net = net;
    hole.at = position(record);
    hole.drill_mm = record.drill * scale_;
    hole.plated = plated;
    assembler_.netlist().holes.push_back(std::move(hole));
  }

  void add_pin(const PointRecord& point, NetIndex net) {
    const TestRecord& record = point.record;
    RawPin pin;
    pin.net = net;
    pin.ref = names_.ref(record.ref);
    pin.number = record.pin.empty() ? number_for(record.ref, point.line) : names_.pin(record.ref, record.pin);
    pin.line = point.line;
    pin.pad = pad_of(record);
    if (!net.known())
      deviations_.add(record.net.empty() ? DeviationKind::unconnected_blank : DeviationKind::unconnected_nc, point.line, 4);
    assembler_.add(std::move(pin));
  }

  std::string number_for(std::string_view ref, std::size_t line) {
    deviations_.add(DeviationKind::pin_missing, line, 28);
    const std::string count = std::to_string(++without_pin_[ref]);
    return numbered_.count(ref) != 0 ? "pad" + count : count;
  }

  Pad pad_of(const TestRecord& record) const {
    Pad pad;
    pad.at = position(record);
    pad.drill_mm = record.drill * scale_;
    pad.plated = record.hole && record.plating == 'P';
    pad.middle = record.middle;
    pad.width_mm = record.width * scale_;
    pad.height_mm = record.height * scale_;
    if (record.access) pad.side = side_of(*record.access);
    return pad;
  }

  Side side_of(std::int32_t access) const {
    if (access == 0) return Side::both;
    if (access == 1) return Side::top;
    return access == last_layer_ ? Side::bottom : Side::inner;
  }

  double scale_;
  IpcNames& names_;
  Assembler& assembler_;
  Deviations& deviations_;
  std::int32_t last_layer_ = 0;
  std::unordered_set<std::string_view> numbered_, seen_full_;
  std::unordered_map<std::string_view, std::size_t> without_pin_;
};

}  // namespace

void add_points(const std::vector<PointRecord>& points, double mm_per_unit, IpcNames& names, Assembler& assembler, Deviations& deviations) {
  PointAdder adder(mm_per_unit, names, assembler, deviations);
  adder.look_over(points);
  for (const PointRecord& point : points) adder.add(point);
}

}  // namespace halfsplit::netlist
