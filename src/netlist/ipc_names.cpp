#include "netlist/ipc_names.h"

#include <algorithm>

#include "base/text.h"

namespace halfsplit::netlist {

namespace {

constexpr std::string_view kAliasWord = "NNAME";

bool plain_number(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// "00012" and "12" are one number.
std::string canonical(std::string_view key) {
  if (!plain_number(key)) return std::string(key);
  const std::size_t first = key.find_first_not_of('0');
  return first == std::string_view::npos ? "0" : std::string(key.substr(first));
}

}  // namespace

bool means_no_net(std::string_view field) {
  const std::string word = upper(field);
  return word.empty() || word == "N/C" || word == "N.C.";
}

void IpcNames::define_alias(std::string_view word, std::string_view rest, bool in_comment, std::size_t line) {
  std::string_view key = word.substr(kAliasWord.size());
  std::string_view name = trim(rest);
  if (key.empty()) {  // "NNAME 12 LONG_NAME"
    key = name.substr(0, name.find(' '));
    name = trim(name.substr(key.size()));
  }
  if (in_comment) deviations_.add(DeviationKind::alias_in_comment, line, 4);
  if (key.size() < 5) deviations_.add(DeviationKind::alias_short, line, 4);
  if (name.find(' ') != std::string_view::npos) deviations_.add(DeviationKind::alias_with_blank, line, 15);
  if (key.empty() || name.empty()) return deviations_.add(DeviationKind::alias_undefined, line, 4);
  const std::string own = canonical(key);
  if (!aliases_.emplace(own, Alias{std::string(name), in_comment || !plain_number(key)}).second)
    return deviations_.add(DeviationKind::alias_repeated, line, 4);
  if (!key_of_name_.emplace(std::string(name), own).second) deviations_.add(DeviationKind::alias_same_name, line, 15);
}

void IpcNames::define_pin(std::string_view ref, std::string_view key, std::string_view name) {
  pins_.emplace(std::string(ref) + '\n' + std::string(key), name);
}

std::optional<std::string> IpcNames::alias_key(std::string_view field) const {
  if (starts_with(field, kAliasWord)) {
    std::string key = canonical(field.substr(kAliasWord.size()));
    if (aliases_.count(key) != 0) return key;
  }
  const auto bare = aliases_.find(canonical(field));
  if (bare != aliases_.end() && bare->second.bare) return bare->first;
  const auto full = key_of_name_.find(std::string(field));
  if (full != key_of_name_.end()) return full->second;
  return std::nullopt;
}

NetIndex IpcNames::net(std::string_view field, std::size_t line, Assembler& assembler) {
  if (means_no_net(field)) return {};
  if (const auto key = alias_key(field)) return assembler.net("\n" + *key, aliases_.at(*key).name, field, line);
  if (starts_with(field, kAliasWord) && plain_number(field.substr(kAliasWord.size()))) deviations_.add(DeviationKind::alias_undefined, line, 4);
  return assembler.net(field, field, {}, line);
}

std::optional<NetIndex> IpcNames::find(std::string_view field, const Assembler& assembler) const {
  if (const auto key = alias_key(field)) return assembler.find("\n" + *key);
  return assembler.find(field);
}

std::string IpcNames::ref(std::string_view field) const {
  const auto found = refs_.find(std::string(field));
  return found == refs_.end() ? std::string(field) : found->second;
}

std::string IpcNames::pin(std::string_view ref_field, std::string_view field) const {
  const auto found = pins_.find(std::string(ref_field) + '\n' + std::string(field));
  return found == pins_.end() ? std::string(field) : found->second;
}

}  // namespace halfsplit::netlist
