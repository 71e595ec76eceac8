#include "parts/element.h"

#include <algorithm>

namespace halfsplit::parts {
namespace {

bool is_two_ended(Template kind) {
  return kind == Template::contact || kind == Template::resistor || kind == Template::capacitor || kind == Template::inductor ||
         kind == Template::diode || kind == Template::crystal;
}

}  // namespace

std::vector<Element> elements(const PartType& type) {
  std::vector<Element> out;
  for (const Block& block : type.blocks) {
    if (!is_two_ended(block.kind)) continue;
    const bool diode = block.kind == Template::diode;
    const std::vector<std::uint16_t>& a = block.port(diode ? "anode" : "a");
    const std::vector<std::uint16_t>& b = block.port(diode ? "cathode" : "b");
    if (a.empty() || b.empty()) continue;
    for (std::size_t i = 0; i < std::max(a.size(), b.size()); ++i)
      out.push_back({block.kind, a[std::min(i, a.size() - 1)], b[std::min(i, b.size() - 1)]});
  }
  return out;
}

}  // namespace halfsplit::parts
