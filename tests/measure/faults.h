// tests/measure/faults.h - which single faults the activity engine is measured on, and why a latent one can't be seen.
#pragma once
#include <string>
#include <vector>

#include "fault/fault.h"
#include "logic/activity.h"

namespace halfsplit::measure {

/// Faults that change levels on logic: every mode of the class tables and every open joint that the engine computes; not the wrong drawing (the same
/// levels as the open joint), nor what is a mixture of others (intermittent, unlisted), nor the surroundings.
inline std::vector<fault::FaultId> logic_faults(const logic::Activity& activity, const fault::Catalogue& catalogue) {
  std::vector<fault::FaultId> out;
  for (std::uint32_t i = 0; i < catalogue.size(); ++i) {
    const auto& f = catalogue.faults()[i];
    const bool mixture = f.effect == parts::Effect::intermittent || f.effect == parts::Effect::unlisted || f.site.kind == fault::Site::Kind::drawing;
    if (mixture || (f.site.part.known() && activity.machine().part(f.site.part).surroundings)) continue;
    if (activity.acts(f)) out.push_back(fault::FaultId(i));
  }
  return out;
}

/// The node moves or takes both levels in the machine's bus cycles.
inline bool exercised(const logic::Network& n, logic::NodeId node) {
  bool low = false, high = false, moves = false;
  for (std::uint32_t w = 0; w < n.words && node != logic::kNone32; ++w) {
    const auto& p = n.healthy(node, w);
    low = low || (p.low & n.normal[w]) != 0;
    high = high || (p.high & n.normal[w]) != 0;
    moves = moves || (p.right & n.normal[w]) != 0;
  }
  return moves || (low && high);
}

/// Why nothing on the machine shows it: nothing in the machine's bus cycles moves what it acts on, or something else does the same work.
inline std::string reason(const logic::Activity& activity, const fault::Fault& f) {
  const auto& n = activity.network();
  const auto& m = activity.machine();
  std::vector<std::uint32_t> pins;
  if (f.pin.known()) pins.push_back(f.pin.index());
  else if (f.site.pin.known()) pins.push_back(f.site.pin.index());
  else for (std::uint32_t i = 0; i < m.part(f.site.part).pin_count; ++i) pins.push_back(m.pin_of(f.site.part, i).index());
  const bool listens = f.effect == parts::Effect::ignores_input;
  for (const auto pin : pins) {
    const auto net = m.pins()[pin].net;
    const bool drives = n.drive_node[pin] != logic::kNone32 && !listens;
    if (drives ? exercised(n, n.drive_node[pin]) : net.known() && exercised(n, n.net_node[net.index()])) return "redundant";
  }
  return "not exercised";
}

}  // namespace halfsplit::measure
