// What a good machine shows, pin by pin, and why: asked of the predictor with nothing wrong.
#include <fmt/core.h>

#include <algorithm>
#include <limits>

#include "app/machines.h"
#include "app/outcome_words.h"
#include "base/text.h"
#include "observe/parse.h"
#include "parts/element.h"
#include "parts/stand_in.h"

namespace halfsplit::app {
namespace {

using board::NetId;
using board::NetKind;
using board::PartId;
using board::PinId;
using observe::Kind;
using observe::Point;

std::string title_of(const board::Part& part) { return fmt::format("{}  {} {}", part.ref, part.value.empty() ? part.type->id : part.value, part.type->title); }

constexpr std::size_t kMostNamed = 3;
constexpr double kMostOhms = 2e7, kMostDiodeVolts = 2;  ///< what a meter reaches
constexpr std::size_t kChipPins = 4;  ///< a part with fewer pins is told of only when asked for

/// Why a pin shows what it shows, from the drawing alone.
class Reasons {
 public:
  explicit Reasons(const board::Machine& machine) : machine_(machine) {}

  std::string of_net(NetId id) const {
    const board::Net& net = machine_.net(id);
    if (net.kind == NetKind::ground) return "ground";
    if (net.kind == NetKind::rail) return "rail" + (net.source ? ", from " + machine_.part(*net.source).ref : std::string());
    return sources(net, std::nullopt);
  }

  std::string of_pin(PinId id) const {
    const board::Pin& pin = machine_.pin(id);
    if (!pin.net.known()) return parts::can_drive(machine_.pin_type(id).role) ? "output, not connected" : "not connected";
    const board::Net& net = machine_.net(pin.net);
    if (net.kind == NetKind::ground) return "ground";
    if (net.kind == NetKind::rail) return "rail " + net.name;
    const parts::PinRole role = machine_.pin_type(id).role;
    const std::string from = sources(net, id);
    if (!parts::can_drive(role)) return from;
    const std::string own = parts::listens(role) ? "in and out" : "output";
    if (starts_with(from, "from ")) return own + ", with " + from.substr(5);
    const std::string to = from.empty() ? listeners(net, id) : from;
    return to.empty() ? own : own + ", " + to;
  }

 private:
  /// "from U3.4 (/Y0), pulled up by R5 (4.7k)": everything but the pin itself that gives the net a level.
  std::string sources(const board::Net& net, std::optional<PinId> but) const {
    std::vector<PinId> drivers;
    std::vector<std::string> others;
    for (const PinId pin : net.pins) {
      if (but && pin == *but) continue;
      if (parts::stands_in(*machine_.part(machine_.pin(pin).part).type)) others.push_back("from where is not traced yet");
      else if (parts::can_drive(machine_.pin_type(pin).role)) drivers.push_back(pin);
      else if (const std::string through = through_element(pin); !through.empty() && others.size() < kMostNamed) others.push_back(through);
    }
    if (!drivers.empty()) others.insert(others.begin(), "from " + names(drivers));
    return join(others, ", ");
  }

  /// What a two-ended element at this pin does for the net: "pulled up by R5 (4.7k)", "over R7 to U3.4".
  std::string through_element(PinId id) const {
    const board::Pin& pin = machine_.pin(id);
    const board::Part& part = machine_.part(pin.part);
    for (const parts::Element& element : parts::elements(*part.type)) {
      if (element.a != pin.index && element.b != pin.index) continue;
      const PinId other = machine_.pin_of(pin.part, element.a == pin.index ? element.b : element.a);
      const NetId far = machine_.pin(other).net;
      if (!far.known() || far == pin.net) continue;
      const NetKind kind = machine_.net(far).kind;
      const std::string name = part.ref + (part.value.empty() ? "" : " (" + part.value + ")");
      if (element.kind == parts::Template::resistor && kind != NetKind::signal) return fmt::format("pulled {} by {}", kind == NetKind::rail ? "up" : "down", name);
      if (element.kind != parts::Template::capacitor) return fmt::format("over {} to {}", name, machine_.net(far).name);
    }
    return {};
  }

  std::string listeners(const board::Net& net, PinId but) const {
    std::vector<PinId> pins;
    for (const PinId pin : net.pins)
      if (pin != but) pins.push_back(pin);
    return pins.empty() ? std::string() : "to " + names(pins);
  }

  std::string names(const std::vector<PinId>& pins) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < std::min(pins.size(), kMostNamed); ++i) out.push_back(machine_.long_name_of(pins[i]));
    return join(out, ", ") + (pins.size() > kMostNamed ? fmt::format(" and {} more", pins.size() - kMostNamed) : "");
  }

  const board::Machine& machine_;
};

/// Gathers rows first and asks the predictor once for all of them.
class Sheet {
 public:
  Sheet(Model& model, const board::Setup& setup) : model_(model), machine_(model.machine()), setup_(setup), reasons_(machine_) {}

  void group(std::string title) { out_.groups.push_back({std::move(title), {}}); }

  void add_pin(PinId id) {
    report::ExpectRow row;
    const parts::Pin& type = machine_.pin_type(id);
    row.point = machine_.name_of(id);
    row.number = type.number;
    row.name = type.shown();
    if (machine_.pin(id).net.known()) row.net = machine_.net(machine_.pin(id).net).name;
    row.why = reasons_.of_pin(id);
    Point point;
    point.at = Point::At::leg;
    point.pin = id;
    add(std::move(row), point, {Kind::probe, Kind::volts_dc});
  }
  void add_part(PartId id) {
    const board::Part& part = machine_.part(id);
    group(title_of(part));
    for (std::size_t i = 0; i < part.pin_count; ++i) add_pin(machine_.pin_of(id, i));
    add_unpowered(id);
  }
  /// What ohms and diode test show with the machine off: across a part of two legs, at the junctions of a transistor, from a regulator's legs to ground.
  void add_unpowered(PartId id) {
    const board::Part& part = machine_.part(id);
    if (part.pin_count == 2) {
      Point across;
      across.at = Point::At::part;
      across.part = id;
      const auto elements = parts::elements(*part.type);
      const bool diode = !elements.empty() && elements[0].kind == parts::Template::diode;
      if (!elements.empty()) add_off(part.ref, across, {diode ? Kind::diode : Kind::ohms});
    }
    for (const parts::Block& block : part.type->blocks) {
      const auto pin = [&](std::string_view port) { return machine_.pin_of(id, block.port(port).front()); };
      if (block.kind == parts::Template::transistor)
        for (const char* end : {"emitter", "collector"}) add_junction(pin("base"), pin(end), block.word("polarity").value_or("npn"));
      if (block.kind == parts::Template::regulator)
        for (const char* end : {"in", "out"}) {
          Point leg;
          leg.at = Point::At::leg;
          leg.pin = pin(end);
          add_off(machine_.name_of(leg.pin), leg, {Kind::ohms});
        }
    }
  }
  void add_net(NetId id) {
    report::ExpectRow row;
    row.point = row.net = machine_.net(id).name;
    row.why = reasons_.of_net(id);
    Point point;
    point.at = Point::At::net;
    point.net = id;
    add(std::move(row), point, {Kind::probe, Kind::volts_dc});
  }
  void add_function(board::FunctionId id) {
    report::ExpectRow row;
    row.point = machine_.function(id).id;
    row.name = machine_.function(id).title;
    Point point;
    point.at = Point::At::function;
    point.function = id;
    add(std::move(row), point, {Kind::function});
  }

  report::Expect finish() {
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());
    const fault::OutcomeTable table = model_.predictor().outcomes({fault::Hypothesis()}, queries_, budget);
    for (std::size_t i = 0; i < queries_.size(); ++i) fill(out_.groups[where_[i].first].rows[where_[i].second], queries_[i].kind, table.at(0, i));
    out_.machine = machine_.title();
    if (!setup_.actions().empty()) out_.slip.bench = board::describe(setup_, machine_);
    for (auto& group : out_.groups) std::erase_if(group.rows, [](const auto& row) { return !row.unpowered.empty() && row.volts.empty(); });
    std::erase_if(out_.groups, [](const auto& group) { return group.rows.empty(); });
    return std::move(out_);
  }

 private:
  /// Red tip where the junction conducts.
  void add_junction(PinId base, PinId end, std::string_view polarity) {
    Point pair;
    pair.at = Point::At::pair;
    pair.pin = polarity == "pnp" ? end : base;
    pair.other = polarity == "pnp" ? base : end;
    add_off(machine_.name_of(pair.pin) + "-" + machine_.name_of(pair.other), pair, {Kind::diode});
  }
  /// One row a kind; rows without a prediction fall away.
  void add_off(const std::string& label, const Point& point, const std::vector<Kind>& kinds) {
    const board::Setup off = setup_.powered() ? setup_.with({board::Action::Kind::power_off, {}, {}, {}, {}}) : setup_;
    for (const Kind kind : kinds) {
      report::ExpectRow row;
      row.point = label;
      row.unpowered = kind == Kind::ohms ? "ohms" : "diode";
      add(std::move(row), point, {kind}, off);
    }
  }
  void add(report::ExpectRow row, const Point& point, const std::vector<Kind>& kinds) { add(std::move(row), point, kinds, setup_); }
  void add(report::ExpectRow row, const Point& point, const std::vector<Kind>& kinds, const board::Setup& setup) {
    if (out_.groups.empty()) group("Points");
    out_.groups.back().rows.push_back(std::move(row));
    for (const Kind kind : kinds) {
      fault::Query query;
      query.setup = setup;
      query.point = point;
      query.kind = kind;
      queries_.push_back(std::move(query));
      where_.emplace_back(out_.groups.size() - 1, out_.groups.back().rows.size() - 1);
    }
  }
  /// Beyond the meter's reach it shows OL.
  static std::string shown_off(const std::string& unpowered, const Range& range) {
    if (unpowered == "ohms" && range.from > kMostOhms) return "OL";
    if (unpowered == "diode" && range.from > kMostDiodeVolts) return "OL";
    return shown(range);
  }
  static void fill(report::ExpectRow& row, Kind kind, const fault::Outcome& outcome) {
    if (kind == Kind::function) row.works = words_of(outcome).empty() ? "not told" : words_of(outcome);
    if (kind == Kind::probe) row.probe = words_of(outcome);
    const auto range = range_of(outcome);
    if ((kind != Kind::volts_dc && row.unpowered.empty()) || !range) return;
    row.volts = shown_off(row.unpowered, *range);
    row.low_v = range->from;
    row.high_v = range->to;
  }

  Model& model_;
  const board::Machine& machine_;
  const board::Setup setup_;
  const Reasons reasons_;
  std::vector<fault::Query> queries_;
  std::vector<std::pair<std::size_t, std::size_t>> where_;  ///< of each query: group, row
  report::Expect out_;
};

void add_everything(Sheet& sheet, const board::Machine& machine) {
  sheet.group("Rails");
  for (std::size_t i = 0; i < machine.nets().size(); ++i)
    if (machine.nets()[i].kind == NetKind::rail) sheet.add_net(NetId(i));
  sheet.group("What it does");
  for (std::size_t i = 0; i < machine.functions().size(); ++i) sheet.add_function(board::FunctionId(i));
  std::vector<PartId> chips;
  for (std::size_t i = 0; i < machine.parts().size(); ++i) {
    const board::Part& part = machine.parts()[i];
    if (part.fitted && !part.surroundings && part.family && part.pin_count >= kChipPins) chips.emplace_back(i);
  }
  std::stable_sort(chips.begin(), chips.end(), [&](PartId a, PartId b) { return natural_less(machine.part(a).ref, machine.part(b).ref); });
  for (const PartId chip : chips) sheet.add_part(chip);
}

void add_point(Sheet& sheet, const Point& point, const board::Machine& machine) {
  switch (point.at) {
    case Point::At::part: sheet.add_part(point.part); return;
    case Point::At::net: sheet.group("Net " + machine.net(point.net).name); sheet.add_net(point.net); return;
    case Point::At::function: sheet.group("What it does"); sheet.add_function(point.function); return;
    case Point::At::leg: {
      const board::Part& part = machine.part(machine.pin(point.pin).part);
      sheet.group(title_of(part));
      sheet.add_pin(point.pin);
      return;
    }
    case Point::At::pair:
    case Point::At::machine: return;
  }
}

}  // namespace

Result<report::Expect> expect(Model& model, const std::vector<std::string>& points, const board::Setup& setup) {
  const board::Machine& machine = model.machine();
  Sheet sheet(model, setup);
  if (points.empty()) add_everything(sheet, machine);
  for (const std::string& word : points) {
    const auto point = observe::parse_point(word, machine);
    if (!point) return point.error();
    if (point->at == Point::At::pair || point->at == Point::At::machine) return usage(in_quotes(word) + " is not one place on the board", "name a part, a pin, a net or a function: U5, U5.8, +5V");
    add_point(sheet, *point, machine);
  }
  return sheet.finish();
}

}  // namespace halfsplit::app
