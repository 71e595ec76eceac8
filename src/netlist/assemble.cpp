#include "netlist/assemble.h"

#include <algorithm>

#include "base/text.h"
#include "netlist/name_nets.h"
#include "netlist/split_reference.h"

namespace halfsplit::netlist {

namespace {

bool plain_number(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// "*", "REF**", "U?": a drawing that was never numbered.
bool never_numbered(std::string_view ref) { return ref == "*" || ends_with(ref, "**") || ends_with(ref, "?"); }

}  // namespace

NetIndex Assembler::net(std::string_view key, std::string_view raw, std::string_view alias, std::size_t line) {
  const auto [found, fresh] = nets_.emplace(std::string(key), NetIndex(netlist_.nets.size()));
  if (!fresh) return found->second;
  Net made;
  made.raw = std::string(raw);
  made.alias = std::string(alias);
  made.line = static_cast<std::uint32_t>(line);
  netlist_.nets.push_back(std::move(made));
  return found->second;
}

std::optional<NetIndex> Assembler::find(std::string_view key) const {
  const auto found = nets_.find(std::string(key));
  return found == nets_.end() ? std::nullopt : std::optional(found->second);
}

std::string Assembler::free_ref(const std::string& ref) {
  for (std::size_t& n = next_number_.emplace(ref, 2).first->second;; ++n) {
    std::string name = ref + "_" + std::to_string(n);
    if (refs_.emplace(name, true).second) return name;
  }
}

void Assembler::make_part(std::string ref, const std::string& file_ref, const std::vector<std::uint32_t>& records) {
  Part part;
  part.ref = std::move(ref);
  part.file_ref = file_ref;
  part.line = pins_[records.front()].line;
  std::unordered_map<std::string_view, std::size_t> by_number;
  for (const std::uint32_t index : records) {
    RawPin& raw = pins_[index];
    const auto [found, fresh] = by_number.emplace(raw.number, part.pins.size());
    if (fresh) {
      Pin pin;
      pin.number = raw.number;
      pin.line = raw.line;
      part.pins.push_back(std::move(pin));
      if (!plain_number(raw.number)) deviations_.add(DeviationKind::pin_word, raw.line);
    }
    Pin& pin = part.pins[found->second];
    if (!fresh && raw.pad) {
      if (pin.pads.size() == 1) deviations_.add(DeviationKind::pin_several_pads, raw.line);
    } else if (!fresh) {
      deviations_.add(DeviationKind::row_repeated, raw.line);
    }
    if (raw.pad) pin.pads.push_back(*raw.pad);
    if (pin.name.empty()) pin.name = raw.name;
    if (pin.type == PinType::unknown) pin.type = raw.type;
    if (!pin.net.known()) pin.net = raw.net;
  }
  netlist_.parts.push_back(std::move(part));
}

void Assembler::make_parts() {
  std::vector<std::string_view> order;
  std::unordered_map<std::string_view, std::vector<std::uint32_t>> records;
  for (std::uint32_t i = 0; i < pins_.size(); ++i) {
    std::vector<std::uint32_t>& list = records[pins_[i].ref];
    if (list.empty()) order.push_back(pins_[i].ref);
    list.push_back(i);
  }
  for (const std::string_view ref : order) refs_.emplace(std::string(ref), true);
  for (const std::string_view ref : order) {
    const std::vector<std::uint32_t>& list = records[ref];
    std::vector<ReferencePad> pads;
    for (const std::uint32_t index : list) {
      const RawPin& raw = pins_[index];
      pads.push_back({raw.number, raw.net, raw.pad ? raw.pad->at : std::nullopt});
    }
    const ReferencePieces pieces = split_reference(pads);
    const std::size_t line = pins_[list.front()].line;
    if (never_numbered(ref)) deviations_.add(DeviationKind::reference_unnumbered, line);
    if (pieces.count > 1)
      deviations_.add(pieces.whole ? DeviationKind::reference_duplicate : DeviationKind::pin_on_two_nets, line, 0,
                      pieces.whole ? pieces.count - 1 : pieces.contested);
    std::vector<std::vector<std::uint32_t>> of_piece(pieces.count);
    for (std::size_t i = 0; i < list.size(); ++i) of_piece[pieces.piece[i]].push_back(list[i]);
    const std::string file_ref(ref);
    for (std::size_t p = 0; p < pieces.count; ++p) make_part(p == 0 ? file_ref : free_ref(file_ref), file_ref, of_piece[p]);
  }
}

void Assembler::join_nets() {
  for (std::size_t p = 0; p < netlist_.parts.size(); ++p) {
    const Part& part = netlist_.parts[p];
    for (std::size_t i = 0; i < part.pins.size(); ++i) {
      const NetIndex net = part.pins[i].net;
      if (net.known()) netlist_.nets[net.index()].pins.push_back({PartIndex(p), static_cast<std::uint32_t>(i)});
    }
  }
  for (Net& net : netlist_.nets) net.lone = net.pins.size() == 1;
}

Result<Netlist> Assembler::finish(const std::string& file) {
  Place place;
  place.file = file;
  const char* hint = "no board this program can help with is that large: is it a panel of many boards?";
  if (pins_.size() > kMostPads) return bad_input("over 250,000 pads", place, hint);
  if (netlist_.nets.size() > kMostNets) return bad_input("over 50,000 nets", place, hint);
  make_parts();
  if (netlist_.parts.size() > kMostParts) return bad_input("over 50,000 parts", place, hint);
  join_nets();
  netlist_.file = file;
  name_nets(netlist_, deviations_);
  for (const Net& net : netlist_.nets)
    if (net.lone && !net.made_up) deviations_.add(DeviationKind::net_single_pin, net.line);
  netlist_.deviations = deviations_.list();
  return std::move(netlist_);
}

}  // namespace halfsplit::netlist
