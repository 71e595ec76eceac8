#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "board/machine_data.h"
#include "board/pin_lookup.h"

namespace halfsplit::board {

void NameIndex::add(std::string_view spelling, std::size_t index) { entries_.emplace_back(lower(spelling), index); }

void NameIndex::seal() {
  std::sort(entries_.begin(), entries_.end());
  entries_.erase(std::unique(entries_.begin(), entries_.end()), entries_.end());
}

std::vector<std::size_t> NameIndex::find(std::string_view spelling) const {
  const std::string key = lower(spelling);
  std::vector<std::size_t> found;
  for (auto at = std::lower_bound(entries_.begin(), entries_.end(), std::pair<std::string, std::size_t>(key, 0)); at != entries_.end(); ++at) {
    if (at->first != key) break;
    found.push_back(at->second);
  }
  return found;
}

std::string net_tail(std::string_view name) {
  constexpr std::string_view kSlash = "{slash}";
  const std::size_t cut = name.rfind('/');
  std::string tail(cut == std::string_view::npos || cut + 1 == name.size() ? name : name.substr(cut + 1));
  for (std::size_t at = tail.find(kSlash); at != std::string::npos; at = tail.find(kSlash)) tail.replace(at, kSlash.size(), "/");
  return tail;
}

std::string barred(std::string_view name) {
  constexpr std::string_view kTrailing = "#*\\";
  if (name.size() > 3 && starts_with(name, "~{") && name.back() == '}') return "/" + std::string(name.substr(2, name.size() - 3));
  if (name.size() > 1 && name.front() == '~') return "/" + std::string(name.substr(1));
  if (name.size() > 1 && kTrailing.find(name.back()) != std::string_view::npos) return "/" + std::string(name.substr(0, name.size() - 1));
  return std::string(name);
}

std::string net_bar(std::string_view name) {
  const bool only_a_bar = name.size() > 1 && name.rfind('/') == 0;
  return barred(only_a_bar ? std::string(name) : net_tail(name));
}

void Machine::Data::index_names() {
  for (NameIndex* index : {&refs, &net_names, &net_tails, &net_bars}) *index = NameIndex();
  for (std::size_t i = 0; i < parts.size(); ++i) {
    refs.add(parts[i].ref, i);
    refs.add(parts[i].local_ref, i);
    if (parts[i].unit.known()) refs.add(units[parts[i].unit.index()] + "/" + parts[i].local_ref, i);
  }
  for (std::size_t i = 0; i < nets.size(); ++i) {
    const std::string& local = net_origins[i].local_name;
    net_names.add(nets[i].name, i);
    net_names.add(local, i);
    net_names.add(units[net_origins[i].unit.index()] + "/" + local, i);
    net_tails.add(net_tail(local), i);
    net_bars.add(net_bar(local), i);
  }
  for (NameIndex* index : {&refs, &net_names, &net_tails, &net_bars}) index->seal();
}

Result<PartId> find_part(const Machine::Data& data, std::string_view ref) {
  ref = trim(ref);
  std::vector<std::size_t> found = data.refs.find(ref);
  const auto exact = [&](std::size_t i) { return data.parts[i].ref == ref; };
  if (const auto at = std::find_if(found.begin(), found.end(), exact); at != found.end()) return PartId(*at);
  if (found.size() == 1) return PartId(found.front());
  std::vector<std::string> names;
  if (found.empty()) {
    for (const Part& part : data.parts) names.push_back(part.ref);
    const auto near = did_you_mean(ref, names);
    return not_found(fmt::format("there is no part {}", in_quotes(ref)), near ? fmt::format("did you mean {}?", *near) : "");
  }
  for (const std::size_t i : found) names.push_back(data.parts[i].ref);
  return usage(fmt::format("{} is the name of {} parts", in_quotes(ref), found.size()), "say which: " + join(names, ", "));
}

Result<PinId> find_pin(const Machine::Data& data, std::string_view text) {
  const auto splits = pin_splits(text);
  for (const auto& [part_text, pin_text] : splits) {
    if (data.refs.find(part_text).empty()) continue;
    const Result<PartId> part_id = find_part(data, part_text);
    if (!part_id.ok()) return part_id.error();
    const Part& part = data.parts[part_id->index()];
    const Result<std::uint16_t> pin = find_type_pin(*part.type, pin_text, part.ref);
    if (!pin.ok()) return pin.error();
    return PinId(part.first_pin.index() + *pin);
  }
  if (!splits.empty()) return find_part(data, splits.front().first).error();
  const Result<PartId> part = find_part(data, text);
  if (!part.ok()) return part.error();
  const Part& known = data.parts[part->index()];
  const std::string first = known.pin_count == 0 ? "1" : known.type->pins.front().number;
  return usage(fmt::format("which pin of {}?", known.ref), fmt::format("write {}.{}", known.ref, first));
}

namespace {

/// The one net meant among several of one spelling: the one written exactly so, or the first of grounds or rails that are alike.
std::optional<NetId> one_of(const Machine::Data& data, const std::vector<std::size_t>& found, std::string_view name) {
  if (found.empty()) return std::nullopt;
  if (found.size() == 1) return NetId(found.front());
  std::vector<std::size_t> exact;
  for (const std::size_t i : found) {
    if (data.nets[i].name == name) return NetId(i);
    if (data.net_origins[i].local_name == name) exact.push_back(i);
  }
  if (exact.size() == 1) return NetId(exact.front());
  const Net& first = data.nets[found.front()];
  const auto alike = [&](std::size_t i) { return data.nets[i].kind == first.kind && data.nets[i].rail_v == first.rail_v; };
  if (first.kind != NetKind::signal && std::all_of(found.begin(), found.end(), alike)) return NetId(found.front());
  return std::nullopt;
}

std::vector<std::string> net_candidates(const Machine::Data& data) {
  std::vector<std::string> names;
  for (const Net& net : data.nets) names.push_back(net.name);
  for (const Net& net : data.nets) names.push_back(net_tail(net.name));
  return names;
}

}  // namespace

Result<NetId> find_net(const Machine::Data& data, std::string_view name) {
  name = trim(name);
  const std::vector<std::size_t> by_strictness[] = {data.net_names.find(name), data.net_tails.find(name), data.net_bars.find(net_bar(name))};
  for (const auto& found : by_strictness) {
    if (const auto net = one_of(data, found, name)) return *net;
    if (found.size() < 2) continue;
    std::vector<std::string> names;
    for (const std::size_t i : found) names.push_back(data.nets[i].name);
    return usage(fmt::format("{} is the name of {} nets", in_quotes(name), found.size()), "say which: " + join(names, ", "));
  }
  const auto near = did_you_mean(name, net_candidates(data));
  return not_found(fmt::format("there is no net {}", in_quotes(name)), near ? fmt::format("did you mean {}?", *near) : "");
}

Result<FunctionId> Machine::find_function(std::string_view id) const {
  const std::string wanted = lower(trim(id));
  std::vector<std::string> names;
  for (std::size_t i = 0; i < functions().size(); ++i) {
    if (lower(functions()[i].id) == wanted) return FunctionId(i);
    names.push_back(functions()[i].id);
  }
  const auto near = did_you_mean(wanted, names);
  return not_found(fmt::format("there is no function {}", in_quotes(id)),
                   near ? fmt::format("did you mean {}?", *near) : "functions: " + join(names, ", "));
}

}  // namespace halfsplit::board
