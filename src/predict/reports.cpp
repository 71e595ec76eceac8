#include "predict/reports.h"

#include <algorithm>
#include <map>

namespace halfsplit::predict {
namespace {

using fault::Outcome;
using logic::Look;

constexpr std::size_t kMostBits = 24;
constexpr std::uint64_t kMayBeRight = 1, kMayBeWrong = 2;
constexpr std::size_t kStartsAt = 2 * kMostBits;
constexpr float kOpen = 0.5f, kNamed = 0.995f;

const std::vector<std::uint16_t>& data_port(const parts::PartType& type) {
  static const std::vector<std::uint16_t> none;
  for (const parts::Block& block : type.blocks)
    if (block.kind == parts::Template::memory) return block.port(block.port("data").empty() ? "out" : "data");
  return none;
}

}  // namespace

std::vector<std::uint32_t> banks_at(const observe::Point& point, const logic::Activity& activity) {
  std::vector<std::uint32_t> out;
  for (std::uint32_t i = 0; i < activity.banks().size(); ++i) {
    const auto& parts = activity.banks()[i].parts;
    if (point.at == observe::Point::At::machine || (point.at == observe::Point::At::part && std::binary_search(parts.begin(), parts.end(), point.part.index()))) out.push_back(i);
  }
  return out;
}

std::size_t report_width(const std::vector<std::uint32_t>& banks, const logic::Activity& activity) {
  return banks.empty() ? 0 : std::min(kMostBits, activity.banks()[banks.front()].data_pins.size());
}

std::vector<Look> report_looks(const std::vector<std::uint32_t>& banks, const logic::Activity& activity) {
  std::vector<Look> out;
  const std::size_t width = report_width(banks, activity);
  for (const auto b : banks)
    for (std::size_t bit = 0; bit < width && bit < activity.banks()[b].data_pins.size(); ++bit) out.push_back({Look::Kind::bank, activity.banks()[b].data_pins[bit], b});
  if (!banks.empty()) out.push_back({Look::Kind::starts, activity.banks()[banks.front()].master, 0});
  return out;
}

std::uint64_t pack_report(const std::vector<std::uint32_t>& banks, const logic::Activity& activity, std::span<const std::uint8_t> seen) {
  const std::size_t width = report_width(banks, activity);
  std::vector<bool> may_be_right(width, true), may_be_wrong(width, false);
  std::size_t at = 0;
  for (const auto b : banks)
    for (std::size_t bit = 0; bit < width && bit < activity.banks()[b].data_pins.size(); ++bit, ++at) {
      if (seen[at] == 0) return 0;
      may_be_right[bit] = may_be_right[bit] && (seen[at] & logic::kRight) != 0;
      may_be_wrong[bit] = may_be_wrong[bit] || (seen[at] & logic::kWrong) != 0;
    }
  if (seen[at] == 0) return 0;
  std::uint64_t out = 0;
  for (std::size_t bit = 0; bit < width; ++bit) out |= ((may_be_right[bit] ? kMayBeRight : 0) | (may_be_wrong[bit] ? kMayBeWrong : 0)) << (2 * bit);
  return out | (((seen[at] & logic::kRight) ? kMayBeRight : 0) | ((seen[at] & logic::kWrong) ? kMayBeWrong : 0)) << kStartsAt;
}

Outcome report_outcome(std::uint64_t packed, std::size_t width, double shown) {
  Outcome out;
  const std::uint64_t starts = packed >> kStartsAt;
  if (starts == 0 || width == 0) return out;
  out.form = Outcome::Form::bits;
  out.width = static_cast<std::uint8_t>(width);
  out.no_report = starts == kMayBeRight ? 0.01f : starts == kMayBeWrong ? 0.97f : kOpen;
  bool any = false;
  for (std::size_t bit = 0; bit < width; ++bit) {
    const std::uint64_t state = (packed >> (2 * bit)) & 3;
    any = any || state != kMayBeRight;
    out.p[bit] = state == kMayBeRight ? fault::kToldWrongly : state == kMayBeWrong ? kNamed : kOpen;
  }
  out.missed = any ? static_cast<float>(1 - shown) : 0;
  return out;
}

Outcome dump_outcome(board::PartId part, const fault::Hypothesis& hypothesis, const fault::Catalogue& catalogue, const board::Machine& machine, const fault::EvidenceTable& evidence) {
  Outcome out;
  const auto& port = data_port(*machine.part(part).type);
  if (port.empty()) return out;
  out.form = Outcome::Form::bits;
  out.width = static_cast<std::uint8_t>(std::min(kMostBits, port.size()));
  for (std::size_t bit = 0; bit < out.width; ++bit) out.p[bit] = fault::kToldWrongly;
  double shown = 1;
  for (const auto id : hypothesis) {
    const auto& f = catalogue.fault(id);
    if (f.site.kind != fault::Site::Kind::part || f.site.part != part) continue;
    const double hit = evidence.sensitivity(observe::Kind::dump, f.evidence_group).hit;
    shown = std::min(shown, hit);
    bool one_bit = false;
    for (std::size_t bit = 0; bit < out.width && f.pin.known(); ++bit)
      if (machine.pin_of(part, port[bit]) == f.pin) { out.p[bit] = kNamed; one_bit = true; }
    if (!one_bit)
      for (std::size_t bit = 0; bit < out.width; ++bit) out.p[bit] = f.effect == parts::Effect::dead ? kNamed : kOpen;
  }
  out.missed = static_cast<float>(1 - shown);
  out.no_report = 0;
  return out;
}

}  // namespace halfsplit::predict
