#include "app/chip_picture.h"

#include <algorithm>
#include <map>

#include "base/text.h"

namespace halfsplit::app {
namespace {

using board::PartId;
using observe::Observation;

constexpr std::size_t kWorthDrawing = 3;

bool odd(const report::MeaningLine& line) { return line.verdict != report::MeaningLine::Verdict::as_expected && line.verdict != report::MeaningLine::Verdict::unknown; }

bool has_two_rows(const board::Part& part) {
  const auto& packages = part.type->packages;
  return part.pin_count % 2 == 0 && std::any_of(packages.begin(), packages.end(), [](const std::string& name) { return starts_with(name, "DIP") || starts_with(name, "SO"); });
}

report::PackagePicture picture_of(PartId id, const board::Machine& machine) {
  const board::Part& part = machine.part(id);
  report::PackagePicture out;
  out.part = part.ref;
  out.title = part.type->title;
  out.two_rows = has_two_rows(part);
  for (std::size_t i = 0; i < part.pin_count; ++i) out.pins.push_back({part.type->pins[i].number, part.type->pins[i].shown(), {}, false});
  return out;
}

}  // namespace

std::vector<report::PackagePicture> chip_pictures(const std::vector<const Observation*>& seen, std::vector<report::MeaningLine>& meanings, const board::Machine& machine) {
  std::map<PartId, std::vector<std::size_t>> readings;
  for (std::size_t i = 0; i < seen.size(); ++i)
    if (seen[i]->point.at == observe::Point::At::leg && seen[i]->point.side == observe::Side::leg) readings[machine.pin(seen[i]->point.pin).part].push_back(i);
  std::vector<report::PackagePicture> out;
  for (const auto& [part, which] : readings) {
    if (which.size() < kWorthDrawing) continue;
    report::PackagePicture picture = picture_of(part, machine);
    for (const std::size_t i : which) {
      report::PackagePin& pin = picture.pins[machine.pin(seen[i]->point.pin).index];
      pin.value = meanings[i].value;
      pin.odd = odd(meanings[i]);
      meanings[i].pictured = true;
    }
    std::stable_sort(picture.pins.begin(), picture.pins.end(), [](const auto& a, const auto& b) { return natural_less(a.number, b.number); });
    out.push_back(std::move(picture));
  }
  return out;
}

}  // namespace halfsplit::app
