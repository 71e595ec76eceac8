#include "netlist/ipc_units.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"

namespace halfsplit::netlist {

namespace {

/// Distances between pads that follow each other by pin number on one part, in file units.
std::vector<double> pitches(std::vector<UnitSample> pads) {
  std::sort(pads.begin(), pads.end(), [](const UnitSample& a, const UnitSample& b) {
    return a.ref != b.ref ? a.ref < b.ref : natural_less(a.pin, b.pin);
  });
  std::vector<double> out;
  for (std::size_t i = 1; i < pads.size(); ++i) {
    if (pads[i].ref != pads[i - 1].ref || pads[i].pin == pads[i - 1].pin) continue;
    out.push_back(std::hypot(static_cast<double>(pads[i].x) - pads[i - 1].x, static_cast<double>(pads[i].y) - pads[i - 1].y));
  }
  return out;
}

/// Share of the distances that are one to four times 2.54 mm.
double share_on_grid(const std::vector<double>& distances, double mm_per_unit) {
  constexpr double kPitch_mm = 2.54, kTolerance_mm = 0.03;
  std::size_t on = 0;
  for (const double distance : distances) {
    const double mm = distance * mm_per_unit;
    const double times = std::round(mm / kPitch_mm);
    if (times >= 1 && times <= 4 && std::abs(mm - times * kPitch_mm) <= kTolerance_mm) ++on;
  }
  return distances.empty() ? 0 : static_cast<double>(on) / static_cast<double>(distances.size());
}

double span_in_units(const std::vector<UnitSample>& pads) {
  if (pads.empty()) return 0;
  const auto [left, right] = std::minmax_element(pads.begin(), pads.end(), [](const auto& a, const auto& b) { return a.x < b.x; });
  const auto [low, high] = std::minmax_element(pads.begin(), pads.end(), [](const auto& a, const auto& b) { return a.y < b.y; });
  return std::max(static_cast<double>(right->x) - left->x, static_cast<double>(high->y) - low->y);
}

bool plausible_span(double mm) { return mm >= 20 && mm <= 600; }

}  // namespace

double millimetres_per_unit(Units units) { return units == Units::micrometres ? 0.001 : 0.00254; }

Units units_named(std::string_view value) {
  const std::vector<std::string_view> parts = words(value);
  if (parts.size() == 1 && upper(parts[0]) == "SI") return Units::micrometres;
  if (parts.empty() || upper(parts[0]) != "CUST") return Units::not_known;
  if (parts.size() == 1 || parts[1] == "0" || parts[1] == "2") return Units::tenth_mils;
  return parts[1] == "1" ? Units::micrometres : Units::not_known;
}

UnitChoice choose_units(Units stated, std::vector<UnitSample> pads) {
  constexpr std::size_t kEnough = 8, kMostSamples = 40000;
  const double span = span_in_units(pads);
  if (pads.size() > kMostSamples) pads.resize(kMostSamples);
  const std::vector<double> distances = pitches(std::move(pads));
  const Units first = stated == Units::not_known ? Units::tenth_mils : stated;
  const Units other = first == Units::tenth_mils ? Units::micrometres : Units::tenth_mils;
  const double first_share = share_on_grid(distances, millimetres_per_unit(first));
  const double other_share = share_on_grid(distances, millimetres_per_unit(other));
  const bool first_fits = plausible_span(span * millimetres_per_unit(first)), other_fits = plausible_span(span * millimetres_per_unit(other));
  const bool pins_clear = distances.size() >= kEnough && other_share >= 0.5 && first_share <= 0.05;
  const bool span_clear = distances.size() >= kEnough && !first_fits && other_fits && other_share > first_share && other_share >= 0.2;
  UnitChoice choice;
  choice.units = (pins_clear && (other_fits || !first_fits)) || span_clear ? other : first;
  choice.contradicts = stated != Units::not_known && choice.units != stated;
  choice.span_mm = span * millimetres_per_unit(choice.units);
  return choice;
}

}  // namespace halfsplit::netlist
