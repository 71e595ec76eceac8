#include <algorithm>
#include <map>

#include "knowledge/tables.h"

namespace halfsplit::knowledge {
namespace {

using board::Action;
using board::Machine;
using board::PartId;

constexpr double kUnknownMinutes = 1;  // a kind or action that no pack prices
constexpr double kUnknownRepair = 10;

class PriceList final : public fault::Costs {
 public:
  explicit PriceList(const Entries& entries) : repairs_(entries.repairs) {
    for (const ReadingMinutes& row : entries.readings) {
      readings_[row.kind] = row.minutes.typical;
      next_pins_[row.kind] = row.minutes.low;
    }
    for (const ActionMinutes& row : entries.actions) actions_[row.kind] = {row.minutes.typical, row.undo.typical};
    for (const ChipMinutes& row : entries.chips) {
      if (row.pins == 0) socketed_swap_ = row.minutes.typical;
      else chips_.push_back({static_cast<double>(row.pins), row.minutes.typical, row.fit.typical});
    }
    std::sort(chips_.begin(), chips_.end(), [](const Chip& a, const Chip& b) { return a.pins < b.pins; });
    if (entries.find) find_ = entries.find->minutes.typical;
    if (entries.tryout) tryout_ = entries.tryout->minutes.typical;
    if (entries.astray) astray_ = entries.astray->minutes.typical;
  }

  double reading_minutes(observe::Kind kind, const observe::Point& point, const Machine&) const override {
    using At = observe::Point::At;
    const auto row = readings_.find(kind);
    const double look = row == readings_.end() ? kUnknownMinutes : row->second;
    return look + (point.at == At::leg || point.at == At::net || point.at == At::pair ? find_ : 0);
  }

  /// Found already, and the hand is in practice: the least of the range.
  double next_pin_minutes(observe::Kind kind) const override {
    const auto row = next_pins_.find(kind);
    return row == next_pins_.end() ? kUnknownMinutes : row->second;
  }
  double action_minutes(const Action& action, const Machine& machine) const override { return price(action, machine, false); }
  double undo_minutes(const Action& action, const Machine& machine) const override { return price(action, machine, true); }

  double repair_minutes(fault::SiteId site, const fault::Catalogue& catalogue, const Machine& machine) const override {
    if (catalogue.faults_at(site).empty()) return astray_;
    const fault::Site& place = catalogue.fault(catalogue.faults_at(site).front()).site;
    return place.part.known() ? replace_minutes(machine.part(place.part)) : astray_;
  }
  double tryout_minutes() const override { return tryout_; }
  double astray_minutes() const override { return astray_; }

 private:
  struct Chip { double pins, unsolder, fit; };
  struct Price { double there, back; };

  double price(const Action& action, const Machine& machine, bool back) const {
    switch (action.kind) {
      case Action::Kind::power_off: return of("power-off", back);
      case Action::Kind::pull: {
        const board::Part& part = machine.part(action.part);
        return part.socketed ? of("pull", back) : unsolder_minutes(part, back);
      }
      case Action::Kind::lift: return of(machine.part(machine.pin(action.pin).part).socketed ? "lift-socketed" : "lift", back);
      case Action::Kind::unplug: return of("unplug", back);
      case Action::Kind::bridge: return of("bridge", back);
      case Action::Kind::hold: return of("hold", back);
      case Action::Kind::force_low:
      case Action::Kind::force_high: return of("force", back);
      case Action::Kind::open: return of("open", back);
      case Action::Kind::fit: return fit_minutes(machine.part(action.part), back);
    }
    return kUnknownMinutes;
  }

  double of(const char* action, bool back) const {
    const auto row = actions_.find(action);
    if (row == actions_.end()) return kUnknownMinutes;
    return back ? row->second.back : row->second.there;
  }

  /// A part priced by its class comes out and goes in again for half of the price each.
  double unsolder_minutes(const board::Part& part, bool back) const {
    if (const RepairMinutes* row = row_for(part)) return row->minutes.typical / 2;
    return chip(part.pin_count, back);
  }

  /// Half of an exchange: one part out of its place and another in, the same again on the way back.
  double fit_minutes(const board::Part& part, bool back) const {
    return part.socketed ? of("fit", back) : unsolder_minutes(part, false) + unsolder_minutes(part, true);
  }

  double replace_minutes(const board::Part& part) const {
    if (const RepairMinutes* row = row_for(part)) return row->minutes.typical;
    if (part.socketed) return socketed_swap_;
    return chip(part.pin_count, false) + chip(part.pin_count, true);
  }

  const RepairMinutes* row_for(const board::Part& part) const {
    const RepairMinutes* of_class = nullptr;
    for (const RepairMinutes& row : repairs_) {
      if (row.rate_class != part.type->rate_class) continue;
      if (row.technology == fault::technology_of(part)) return &row;
      if (row.technology.empty()) of_class = &row;
    }
    return of_class;
  }

  /// Between the rows for fewer and more pins, in proportion; beyond them as the nearest.
  double chip(double pins, bool fit) const {
    if (chips_.empty()) return kUnknownRepair;
    const auto value = [&](const Chip& row) { return fit ? row.fit : row.unsolder; };
    const auto above = std::find_if(chips_.begin(), chips_.end(), [&](const Chip& row) { return row.pins >= pins; });
    if (above == chips_.begin()) return value(chips_.front());
    if (above == chips_.end()) return value(chips_.back());
    const Chip& below = *std::prev(above);
    return value(below) + (value(*above) - value(below)) * (pins - below.pins) / (above->pins - below.pins);
  }

  std::map<observe::Kind, double> readings_, next_pins_;
  std::map<std::string, Price> actions_;
  std::vector<RepairMinutes> repairs_;
  std::vector<Chip> chips_;
  double socketed_swap_ = kUnknownRepair, find_ = 0, tryout_ = 2, astray_ = 120;
};

}  // namespace

std::unique_ptr<fault::Costs> make_costs(const Entries& entries) { return std::make_unique<PriceList>(entries); }

}  // namespace halfsplit::knowledge
