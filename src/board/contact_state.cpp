#include "board/contact_state.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/random.h"
#include "base/text.h"
#include "board/pin_lookup.h"
#include "board/toml_text.h"

namespace halfsplit::board {

namespace {

struct Contact {
  std::uint16_t a = 0, b = 0;
  bool closed = false, actuated = false;
  friend bool operator==(const Contact&, const Contact&) = default;
};

std::vector<Contact> contacts_of(const parts::PartType& type) {
  std::vector<Contact> out;
  for (const parts::Block& block : type.blocks) {
    if (block.kind != parts::Template::contact) return {};
    const auto& a = block.port("a");
    const auto& b = block.port("b");
    const bool closed = block.word("closed").value_or("true") == "true", actuated = block.word("actuated").value_or("false") == "true";
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) out.push_back({a[i], b[i], closed, actuated});
  }
  return out;
}

std::string pair_text(const parts::PartType& type, const Contact& contact) { return type.pins[contact.a].number + "-" + type.pins[contact.b].number; }

Error no_such_contact(const parts::PartType& type, const std::vector<Contact>& contacts, std::string_view state) {
  std::vector<std::string> known{"closed", "open"};
  for (const Contact& contact : contacts) known.push_back(pair_text(type, contact));
  return usage(fmt::format("it has no contact {}", in_quotes(state)), "one of: " + join(known, ", "));
}

std::string pairs_text(const parts::PartType& type, const std::vector<Contact>& contacts) {
  std::vector<std::string> pairs;
  for (const Contact& contact : contacts) pairs.push_back(pair_text(type, contact));
  return join(pairs, ", ");
}

/// Two contacts share a pin.
bool changeover(const std::vector<Contact>& contacts) {
  std::set<std::uint16_t> pins;
  for (const Contact& contact : contacts) {
    pins.insert(contact.a);
    pins.insert(contact.b);
  }
  return pins.size() < 2 * contacts.size();
}

/// Closes the contact between the two pins; false when there is none.
bool close_between(std::vector<Contact>& contacts, std::uint16_t first, std::uint16_t second) {
  const auto touches = [](const Contact& contact, std::uint16_t pin) { return contact.a == pin || contact.b == pin; };
  const auto wanted = [&](const Contact& contact) { return touches(contact, first) && touches(contact, second); };
  if (std::none_of(contacts.begin(), contacts.end(), wanted)) return false;
  for (Contact& contact : contacts) {
    if (wanted(contact)) contact.closed = true;
    else if (touches(contact, first) || touches(contact, second)) contact.closed = false;
  }
  return true;
}

Status set_contacts(const parts::PartType& type, std::vector<Contact>& contacts, std::string_view state) {
  const std::string word = lower(state);
  if (word == "closed" && changeover(contacts)) {  // one cap joins one pair
    if (std::any_of(contacts.begin(), contacts.end(), [](const Contact& contact) { return contact.closed; })) return Done{};
    return usage("it can be closed in more than one way", "say which, one of: " + pairs_text(type, contacts));
  }
  if (word == "closed" || word == "open") {
    for (Contact& contact : contacts) contact.closed = word == "closed";
    return Done{};
  }
  for (std::size_t at = state.find('-'); at != std::string_view::npos; at = state.find('-', at + 1)) {
    const auto first = find_type_pin(type, state.substr(0, at), type.id), second = find_type_pin(type, state.substr(at + 1), type.id);
    if (first.ok() && second.ok() && close_between(contacts, *first, *second)) return Done{};
  }
  return no_such_contact(type, contacts, state);
}

/// "closed", "open", or the pairs that are closed.
std::string state_name(const parts::PartType& type, const std::vector<Contact>& contacts) {
  const auto closed = [](const Contact& contact) { return contact.closed; };
  if (std::all_of(contacts.begin(), contacts.end(), closed)) return "closed";
  if (std::none_of(contacts.begin(), contacts.end(), closed)) return "open";
  std::string out;
  for (const Contact& contact : contacts)
    if (contact.closed) out += (out.empty() ? "" : ".") + pair_text(type, contact);
  return out;
}

/// Letters that an id or a pin name may hold; others become "_".
std::string plain(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const bool keep = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '.' || c == '+';
    out += keep ? c : (c == '/' ? '-' : '_');
  }
  return out;
}

constexpr std::size_t kLongestId = 64;

}  // namespace

namespace {
Result<std::vector<Contact>> contacts_set(const parts::PartType& type, std::string_view state) {
  std::vector<Contact> contacts = contacts_of(type);
  if (contacts.empty()) return usage(fmt::format("a {} has no contacts to set", type.title.empty() ? type.id : type.title), "jumpers, links and switches have");
  if (Status status = set_contacts(type, contacts, state); !status.ok()) return status.error();
  return contacts;
}
}  // namespace

Result<std::optional<std::string>> equivalent_with_contacts(const parts::PartType& type, std::string_view state, const parts::Library& library) {
  const Result<std::vector<Contact>> wanted = contacts_set(type, state);
  if (!wanted.ok()) return wanted.error();
  if (contacts_of(type) == *wanted) return std::optional(type.id);
  for (const std::string& id : type.equivalents) {
    const Result<const parts::PartType*> other = library.type(id);
    if (!other.ok() || (*other)->pins.size() != type.pins.size() || contacts_of(**other) != *wanted) continue;
    const auto same_number = [](const parts::Pin& a, const parts::Pin& b) { return a.number == b.number; };
    if (std::equal(type.pins.begin(), type.pins.end(), (*other)->pins.begin(), same_number)) return std::optional(id);
  }
  return std::optional<std::string>();
}

Result<halfsplit::Node> type_with_contacts(const parts::PartType& type, std::string_view state) {
  const Result<std::vector<Contact>> set = contacts_set(type, state);
  if (!set.ok()) return set.error();
  const std::vector<Contact>& contacts = *set;
  std::vector<std::string> names, pins;
  std::set<std::string> seen;
  for (const parts::Pin& pin : type.pins) {
    std::string name = plain(pin.name);
    while (!seen.insert(name).second) name += "'";
    pins.push_back(toml_quoted(fmt::format("{} {} {}", pin.number, name, parts::name_of(pin.role))));
    names.push_back(std::move(name));
  }
  std::string id = plain(type.id + "-" + state_name(type, contacts));
  if (id.size() > kLongestId) id = id.substr(0, kLongestId - 17) + "-" + hex(content_hash(id));
  std::string text = fmt::format("format = 1\nid = {}\ntitle = {}\nclass = {}\n", toml_quoted(id), toml_quoted(type.title), toml_quoted(type.rate_class));
  if (!type.technology.empty()) text += fmt::format("technology = {}\n", toml_quoted(type.technology));
  if (!type.caution.empty()) text += fmt::format("caution = {}\n", toml_quoted(type.caution));
  text += fmt::format("pins = {}\n", toml_list(pins));
  for (const Contact& contact : contacts)
    text += fmt::format("\n[[contact]]\na = {}\nb = {}\nclosed = {}\nactuated = {}\n", toml_quoted(names[contact.a]), toml_quoted(names[contact.b]), contact.closed, contact.actuated);
  return parse_document(text, type.id);
}

}  // namespace halfsplit::board
