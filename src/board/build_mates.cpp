// Units joined by plugs. Two connectors plugged together become one part with a contact per pin pair, its pins on both nets; a cable becomes two
// such parts and one with its conductors between them, the conductors' ends being nets of their own. So every contact and conductor can be open.
#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/random.h"
#include "base/text.h"
#include "board/assembly.h"
#include "board/pin_lookup.h"
#include "board/toml_text.h"

namespace halfsplit::board {

namespace {

constexpr const char* kContact = "contact of plug, socket or edge";
constexpr const char* kConductor = "cable conductor";

/// "a12" for pin 12: side, then the number with what a pin can't be called made "_".
std::string side_pin(char side, std::string_view number) {
  std::string out(1, side);
  for (const char c : number) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '+' || c == '-';
    out += plain ? c : '_';
  }
  return out;
}

struct PinNames { std::vector<std::string> a, b; };

/// Names that are all different: a second "a1" becomes "a1'".
void make_different(std::vector<std::string>& names) {
  std::set<std::string> seen;
  for (std::string& name : names)
    while (!seen.insert(name).second) name += "'";
}

/// The text of a type with one contact per pair, each pair (a<i>, b<i>).
std::string contacts_type(const PinNames& names, const std::string& technology) {
  std::vector<std::string> pins, a, b;
  for (std::size_t i = 0; i < names.a.size(); ++i) {
    pins.push_back(toml_quoted(fmt::format("{0} {0} passive", names.a[i])));
    pins.push_back(toml_quoted(fmt::format("{0} {0} passive", names.b[i])));
    a.push_back(toml_quoted(names.a[i]));
    b.push_back(toml_quoted(names.b[i]));
  }
  const bool cable = technology == kConductor;
  std::string body = fmt::format("title = \"{}, {}\"\nclass = \"connector\"\ntechnology = {}\npins = {}\n\n[[contact]]\na = {}\nb = {}\n",
                                 cable ? "cable conductors" : "plug contacts", names.a.size(), toml_quoted(technology), toml_list(pins), toml_list(a), toml_list(b));
  return fmt::format("format = 1\nid = \"{}-{}\"\n{}", cable ? "cable" : "plug", hex(content_hash(body)), body);
}

}  // namespace

std::vector<std::pair<PinId, PinId>> Assembly::mating_pins(const MateSpec& mate, PartId a, PartId b) {
  std::vector<std::pair<PinId, PinId>> pairs;
  const auto pin_at = [&](PartId id, std::size_t index) { return PinId(part(id).first_pin.index() + index); };
  for (const auto& [left, right] : mate.map) {
    const Result<std::uint16_t> x = find_type_pin(*part(a).type, left, part(a).ref), y = find_type_pin(*part(b).type, right, part(b).ref);
    if (!x.ok()) fail(x.error(), mate.place);
    if (!y.ok()) fail(y.error(), mate.place);
    if (x.ok() && y.ok()) pairs.emplace_back(pin_at(a, *x), pin_at(b, *y));
  }
  if (!mate.map.empty()) return pairs;
  for (std::size_t i = 0; i < part(a).type->pins.size(); ++i)
    if (const auto other = part(b).type->pin_by_number(part(a).type->pins[i].number)) pairs.emplace_back(pin_at(a, i), pin_at(b, *other));
  if (pairs.empty()) fail(fmt::format("{} and {} have no pins of one number", part(a).ref, part(b).ref), mate.place, "say which pins meet: map = \"1=16 2=15\"");
  return pairs;
}

PartId Assembly::add_contacts(const std::string& ref, const std::string& technology, const std::vector<std::pair<PinId, PinId>>& pairs,
                              const std::vector<std::pair<NetId, NetId>>& nets) {
  PinNames names;
  for (const auto& [a, b] : pairs) {
    names.a.push_back(side_pin('a', data_->pin_type(a).number));
    names.b.push_back(side_pin('b', data_->pin_type(b).number));
  }
  make_different(names.a);
  make_different(names.b);
  const Result<halfsplit::Node> document = parse_document(contacts_type(names, technology), ref);
  HS_REQUIRE(document.ok(), "the text of a plug's type is good TOML");
  const Result<const parts::PartType*> type = library_->adopt(*document);
  const PartId id(data_->parts.size());
  if (!type.ok()) {
    errors_.add(type.error());
    return id;
  }
  PartSpec spec;
  spec.ref = ref;
  add_part(spec, **type, UnitId());
  for (std::size_t i = 0; i < nets.size(); ++i) {
    const std::pair<NetId, PinId> ends[] = {{nets[i].first, PinId(part(id).first_pin.index() + 2 * i)},
                                            {nets[i].second, PinId(part(id).first_pin.index() + 2 * i + 1)}};
    for (const auto& [net, pin] : ends) {
      data_->pins[pin.index()].net = net;
      data_->nets[net.index()].pins.push_back(pin);
    }
  }
  return id;
}

std::vector<NetId> Assembly::conductor_ends(const std::string& cable, PartId connector, const std::vector<PinId>& pins) {
  std::vector<NetId> out;
  const std::string end = data_->units[part(connector).unit.index()] + ":" + part(connector).local_ref;
  for (const PinId pin : pins) {
    Net net;
    net.name = fmt::format("{}.{} at {}", cable, data_->pin_type(pin).number, end);
    data_->net_origins.push_back({part(connector).unit, net.name});
    out.emplace_back(data_->nets.size());
    data_->nets.push_back(std::move(net));
  }
  return out;
}

void Assembly::add_mate(const MateSpec& mate) {
  PartId ends[2];
  for (std::size_t side = 0; side < 2; ++side) {
    const Result<PartId> found = find_part(*data_, side == 0 ? mate.a : mate.b);
    if (!found.ok()) return fail(found.error(), mate.place);
    if (unreadable(*found)) return;
    if (!part(*found).unit.known()) return fail(fmt::format("{} is no connector of a unit", part(*found).ref), mate.place);
    ends[side] = *found;
  }
  if (ends[0] == ends[1]) return fail(fmt::format("{} can't be plugged into itself", part(ends[0]).ref), mate.place);
  const auto full_ref = [&](PartId id) { return data_->units[part(id).unit.index()] + "/" + part(id).local_ref; };
  for (const PartId end : ends) {
    const auto [earlier, fresh] = plugged_.emplace(full_ref(end), end);
    if (!fresh) return fail(fmt::format("{} is plugged in twice", part(end).ref), mate.place, "a connector mates once; a cable with more plugs is one mate for each");
  }
  if (!mate.cable.empty() && !data_->refs.find(mate.cable).empty()) return fail(fmt::format("{} is there twice", mate.cable), mate.place, "a cable has a reference of its own");
  std::vector<std::pair<PinId, PinId>> pairs = mating_pins(mate, ends[0], ends[1]);
  const auto netless = [&](const auto& pair) { return !data_->pins[pair.first.index()].net.known() || !data_->pins[pair.second.index()].net.known(); };
  pairs.erase(std::remove_if(pairs.begin(), pairs.end(), netless), pairs.end());
  if (pairs.empty()) return;
  std::vector<PinId> a, b;
  std::vector<std::pair<NetId, NetId>> nets;
  for (const auto& [x, y] : pairs) {
    a.push_back(x);
    b.push_back(y);
    nets.emplace_back(data_->pins[x.index()].net, data_->pins[y.index()].net);
  }
  if (mate.cable.empty()) {
    const PartId contacts = add_contacts(full_ref(ends[0]) + "~" + full_ref(ends[1]), kContact, pairs, nets);
    for (const PartId end : ends) data_->plugs.emplace_back(end, contacts);
    return;
  }
  const std::vector<NetId> near = conductor_ends(mate.cable, ends[0], a), far = conductor_ends(mate.cable, ends[1], b);
  const auto joined = [](std::vector<std::pair<NetId, NetId>> pairs_of_nets, const std::vector<NetId>* first, const std::vector<NetId>* second) {
    for (std::size_t i = 0; i < pairs_of_nets.size(); ++i) pairs_of_nets[i] = {first ? (*first)[i] : pairs_of_nets[i].first, second ? (*second)[i] : pairs_of_nets[i].second};
    return pairs_of_nets;
  };
  const PartId near_plug = add_contacts(full_ref(ends[0]) + "~" + mate.cable, kContact, pairs, joined(nets, nullptr, &near));
  const PartId cable = add_contacts(mate.cable, kConductor, pairs, joined(nets, &near, &far));
  const PartId far_plug = add_contacts(mate.cable + "~" + full_ref(ends[1]), kContact, pairs, joined(nets, &far, nullptr));
  data_->plugs.insert(data_->plugs.end(), {{ends[0], near_plug}, {ends[1], far_plug}, {cable, near_plug}, {cable, far_plug}});
}

}  // namespace halfsplit::board
