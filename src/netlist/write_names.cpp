#include "netlist/write_names.h"

#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "netlist/ipc_names.h"

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kNetWidth = 14, kWideNetWidth = 16, kRefWidth = 6, kPinWidth = 4, kAliasedWidth = 58;

bool plain(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c > ' ' && c < '\x7f'; });
}

/// Inner single blanks are met in references and fit the columns.
bool plain_with_blanks(std::string_view text) {
  const bool signs = std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c < '\x7f'; });
  return signs && !text.empty() && text.front() != ' ' && text.back() != ' ';
}

/// Names of its own shape that a reader could take for an alias.
bool looks_like_alias(std::string_view name) {
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  const bool bare = name.size() > 1 && (name[0] == 'm' || name[0] == 'M') && std::all_of(name.begin() + 1, name.end(), digit);
  return bare || starts_with(upper(name), "NNAME");
}

/// Part of a text from its end, not starting inside a character.
std::string tail(const std::string& text, std::size_t width) {
  return text.size() <= width ? text : text.substr(text.size() - width);
}

std::string head_of_name(const std::string& text, std::size_t width) {
  if (text.size() <= width) return text;
  std::size_t end = width;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xc0u) == 0x80u) --end;
  return text.substr(0, end);
}

std::string escaped(const std::string& name) {
  std::string out;
  for (const char c : name) {
    if (c == '/') out += "{SLASH}";
    else out += c == '_' ? '?' : c;
  }
  return out;
}

std::string pin_key(PartIndex part, const std::string& number) { return std::to_string(part.index()) + '\n' + number; }

}  // namespace

WrittenNames::WrittenNames(const Netlist& netlist, const Ipc356Style& style) : netlist_(netlist), style_(style) {
  write_nets();
  write_refs();
  write_pins();
}

/// The tail of a name, as programs without aliases write it, made unique by #n.
std::string WrittenNames::cut_name(const std::string& name) {
  std::string whole;
  for (const char c : name) whole += c > ' ' && c < '\x7f' ? c : '?';
  if (style_.deviations.count(DeviationKind::names_upper_case) != 0) whole = upper(whole);
  const bool suffix = style_.deviations.count(DeviationKind::name_suffixed) != 0;
  std::string field = tail(suffix ? whole + "{1}" : whole, kNetWidth);
  for (std::size_t n = 1; means_no_net(field) || looks_like_alias(field) || aliased_.count(field) != 0 || !used_nets_.insert(field).second; ++n) {
    const std::string mark = "#" + std::to_string(n);
    field = tail(looks_like_alias(whole) || means_no_net(whole) ? "N" + whole : whole, kNetWidth - mark.size()) + mark;
    if (looks_like_alias(field)) field.front() = 'N', field[1] = '.';
  }
  return field;
}

std::string WrittenNames::alias_for(const std::string& name) {
  ++aliases_;
  std::string name_kept(trim(head_of_name(name, kAliasedWidth)));
  if (name_kept.empty()) name_kept = "unnamed";
  while (used_nets_.count(name_kept) != 0) name_kept += "'";  // a field of that name would be taken for this alias
  aliased_.insert(name_kept);
  if (style_.deviations.count(DeviationKind::alias_in_comment) != 0) {
    const std::string key = fmt::format("m{:04}", aliases_);
    lines_.push_back(fmt::format("C  NNAME{} {}", key, name_kept));
    return key;
  }
  const bool is_short = style_.deviations.count(DeviationKind::alias_short) != 0;
  const std::string key = is_short ? fmt::format("NNAME{}", aliases_) : fmt::format("NNAME{:05}", aliases_);
  lines_.push_back(fmt::format("P  {:<11}{}", key, name_kept));
  return key;
}

void WrittenNames::write_nets() {
  const bool cut = style_.deviations.count(DeviationKind::name_cut) != 0;
  const bool escapes = style_.deviations.count(DeviationKind::name_escaped) != 0;
  // conductor records have the layer where a wide name would go on
  const bool wide = style_.deviations.count(DeviationKind::name_over_width) != 0 && netlist_.tracks.empty();
  const std::size_t width = wide ? kWideNetWidth : kNetWidth;
  std::unordered_map<std::string, std::size_t> times;
  for (const Net& net : netlist_.nets) ++times[net.raw];
  for (const Net& net : netlist_.nets) {
    const std::string name = escapes ? escaped(net.raw) : net.raw;
    if (cut) {
      nets_.push_back(cut_name(name));
      continue;
    }
    const bool fits = plain(name) && name.size() <= width && !means_no_net(name) && !looks_like_alias(name) && times[net.raw] == 1 && aliased_.count(name) == 0;
    nets_.push_back(fits && used_nets_.insert(name).second ? name : alias_for(name));
  }
}

std::string WrittenNames::own_net(const std::string& ref, const std::string& pin) { return cut_name("unconnected-(" + ref + "-Pad" + pin + ")"); }

void WrittenNames::write_refs() {
  for (const Part& part : netlist_.parts)
    if (part.ref.size() <= kRefWidth && plain_with_blanks(part.ref)) used_refs_.insert(part.ref);
  const bool wide = style_.deviations.count(DeviationKind::reference_over_width) != 0;
  for (std::size_t i = 0; i < netlist_.parts.size(); ++i) {
    const Part& part = netlist_.parts[i];
    const bool word = upper(part.ref) == "VIA";
    if (part.ref.size() <= kRefWidth && plain_with_blanks(part.ref) && !word) {
      refs_.push_back(part.ref);
      continue;
    }
    const auto longest = [](std::size_t most, const Pin& pin) { return std::max(most, pin.number.size()); };
    std::size_t pin_width = 0;
    for (const Pin& pin : part.pins) pin_width = longest(pin_width, pin);
    const bool spills = wide && plain(part.ref) && part.ref.find('-') == std::string::npos && part.ref.size() + 1 + std::min(pin_width, kPinWidth) <= 11;
    if (spills && used_refs_.insert(part.ref).second) {
      refs_.push_back(part.ref);
      continue;
    }
    std::string key = plain(part.ref.substr(0, kRefWidth)) && !word ? part.ref.substr(0, kRefWidth) : "";
    for (std::size_t n = 1; key.empty() || !used_refs_.insert(key).second; ++n) key = fmt::format("#{}", n);
    lines_.push_back(fmt::format("C  REFNAME {} {}", key, part.ref));
    refs_.push_back(key);
  }
}

void WrittenNames::write_pins() {
  for (std::size_t i = 0; i < netlist_.parts.size(); ++i) {
    const Part& part = netlist_.parts[i];
    std::unordered_set<std::string> used;
    std::vector<const Pin*> keyed;
    for (const Pin& pin : part.pins) {
      if (plain(pin.number) && pin.number.size() <= kPinWidth) used.insert(pin.number);
      else keyed.push_back(&pin);
    }
    if (keyed.empty()) continue;
    if (refs_[i].find(' ') != std::string::npos) {  // the comment's words are parted by blanks
      std::string key;
      for (std::size_t n = 1; key.empty() || !used_refs_.insert(key).second; ++n) key = fmt::format("#{}", n);
      lines_.push_back(fmt::format("C  REFNAME {} {}", key, part.ref));
      refs_[i] = key;
    }
    for (const Pin* pin : keyed) {
      std::string key;
      for (std::size_t n = 1; key.empty() || !used.insert(key).second; ++n) key = fmt::format("#{}", n);
      lines_.push_back(fmt::format("C  PINNAME {} {} {}", refs_[i], key, pin->number));
      pins_.emplace(pin_key(PartIndex(i), pin->number), key);
    }
  }
}

std::string WrittenNames::pin(PinAt at) const {
  const std::string& number = netlist_.pin(at).number;
  const auto key = pins_.find(pin_key(at.part, number));
  return key == pins_.end() ? number : key->second;
}

}  // namespace halfsplit::netlist
