// What each amendment does to the text form of a machine.
#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "board/contact_state.h"
#include "board/part_line.h"
#include "board/pin_lookup.h"
#include "board/spec_editor.h"
#include "board/value_kind.h"

namespace halfsplit::board {

namespace {
constexpr const char* kWireType = "wire";
}  // namespace

Status SpecEditor::apply(const Amendment& amendment) {
  switch (amendment.kind) {
    case Amendment::Kind::jumper: return jumper(amendment.words);
    case Amendment::Kind::missing: return missing(amendment.words);
    case Amendment::Kind::net: return move_pin(amendment.words);
    case Amendment::Kind::join: return join_pins(amendment.words);
    case Amendment::Kind::wire: return wire(amendment.words);
    case Amendment::Kind::cut: return cut(amendment.words);
    case Amendment::Kind::lift: return lift(amendment.words);
    case Amendment::Kind::add: return add(amendment.words);
    case Amendment::Kind::value: return value(amendment.words);
    case Amendment::Kind::fit: return fit(amendment.words);
    case Amendment::Kind::becomes: break;
  }
  return becomes(amendment.words);
}

Status SpecEditor::jumper(const std::vector<std::string>& words) {
  const Result<PartAt> at = find_part(words[0]);
  if (!at.ok()) return at.error();
  const Result<const parts::PartType*> type = type_of(*at);
  if (!type.ok()) return type.error();
  const auto named = [&](Error error) {
    error.message = fmt::format("{}: {}", part(*at).ref, error.message);
    return error;
  };
  const auto equivalent = equivalent_with_contacts(**type, words[1], library_);
  if (!equivalent.ok()) return named(equivalent.error());
  part(*at).fitted = true;
  if (*equivalent) {
    part(*at).type = **equivalent;
    return Done{};
  }
  const Result<halfsplit::Node> set = type_with_contacts(**type, words[1]);
  if (!set.ok()) return named(set.error());
  const std::string id = set->find("id")->text;
  std::vector<halfsplit::Node>& own = spec_.units[at->unit].types;
  const auto same_id = [&](const halfsplit::Node& other) { const auto* name = other.find("id"); return name && name->text == id; };
  if (std::none_of(own.begin(), own.end(), same_id)) own.push_back(*set);
  if (Status status = types(at->unit).adopt(*set); !status.ok()) return status;
  part(*at).type = id;
  return Done{};
}

Status SpecEditor::missing(const std::vector<std::string>& words) {
  for (const std::string& ref : words) {
    const Result<PartAt> at = find_part(ref);
    if (!at.ok()) return at.error();
    part(*at).fitted = false;
  }
  return Done{};
}

Status SpecEditor::move_pin(const std::vector<std::string>& words) {
  const Result<PinAt> pin = find_pin(words[0]);
  if (!pin.ok()) return pin.error();
  const Result<NetAt> target = find_net(words[1], pin->part.unit);
  if (!target.ok()) return target.error();
  detach(*pin);
  attach(*pin, *target);
  return Done{};
}

Status SpecEditor::wire(const std::vector<std::string>& words) {
  const Result<PinAt> first = find_pin(words[0]);
  const std::size_t unit = first.ok() ? first->part.unit : 0;
  const Result<NetAt> from = net_at(words[0], unit);
  if (!from.ok()) return from.error();
  const Result<NetAt> to = net_at(words[1], from->unit);
  if (!to.ok()) return to.error();
  PartSpec wire;
  wire.ref = free_ref(from->unit, "W");
  wire.type = kWireType;
  wire.note = fmt::format("from {} to {}", words[0], words[1]);
  const PartAt at = new_part(from->unit, std::move(wire));
  attach({at, "1"}, *from);
  attach({at, "2"}, *to);
  return Done{};
}

Status SpecEditor::cut(const std::vector<std::string>& words) {
  const Result<PinAt> pin = find_pin(words[0]);
  if (!pin.ok()) return pin.error();
  const std::optional<NetAt> from = net_of(*pin);
  if (!from) return usage(fmt::format("{} is connected to nothing: there is no track to cut", shown(*pin)));
  if (words.size() == 2) {
    const Result<PinAt> other = find_pin(words[1]);
    if (!other.ok()) return other.error();
    const std::optional<NetAt> there = net_of(*other);
    if (!there || there->unit != from->unit || there->index != from->index)
      return usage(fmt::format("{} and {} are not on one net: there is no track between them to cut", shown(*pin), shown(*other)));
    if (shown(*pin) == shown(*other)) return usage(fmt::format("both ends of the cut are {}", shown(*pin)));
  }
  detach(*pin);
  attach(*pin, new_net(pin->part.unit, "cut at " + shown(*pin)));
  return Done{};
}

Status SpecEditor::lift(const std::vector<std::string>& words) {
  for (const std::string& word : words) {
    const Result<PinAt> pin = find_pin(word);
    if (!pin.ok()) return pin.error();
    if (!net_of(*pin)) return usage(fmt::format("{} is connected to nothing: it can't be lifted", shown(*pin)));
    detach(*pin);
  }
  return Done{};
}

namespace {
/// "add R90 470R Q3.e U9.2": description is what stands before the connections.
struct Addition { std::string ref, description; std::vector<std::string> ends; };
}  // namespace

Status SpecEditor::add(const std::vector<std::string>& words) {
  Addition asked;
  asked.ref = words[0];
  if (!is_reference(asked.ref)) return usage(fmt::format("{} can't be a reference", in_quotes(asked.ref)), "no blanks and none of . / ~ , @ =");
  if (is_part(asked.ref)) return usage(fmt::format("there is a part {} already", asked.ref), "take another reference, or `fit` to change what sits there");
  const auto is_end = [&](const std::string& word) {
    const std::size_t dot = word.find('.');
    return word == "-" || find_pin(word).ok() || find_net(word, kNoUnit).ok() || (dot != std::string::npos && is_part(word.substr(0, dot)));
  };
  std::size_t first = words.size();
  while (first > 2 && is_end(words[first - 1])) --first;
  asked.description = join({words.begin() + 1, words.begin() + static_cast<std::ptrdiff_t>(first)}, " ");
  asked.ends.assign(words.begin() + static_cast<std::ptrdiff_t>(first), words.end());
  if (asked.ends.empty()) return usage(fmt::format("{} is connected to nothing", asked.ref), "name a pin or a net for each of its pins; - leaves one free: add R90 470R Q3.e U9.2");
  Result<PartSpec> made = described(asked.ref, asked.description, asked.ends.size());
  if (!made.ok()) return made.error();
  std::size_t unit = 0;
  if (const Result<PinAt> pin = find_pin(asked.ends.front()); pin.ok()) unit = pin->part.unit;
  std::vector<std::optional<NetAt>> nets;
  for (const std::string& end : asked.ends) {
    if (end == "-") { nets.emplace_back(); continue; }
    const Result<NetAt> net = net_at(end, unit);
    if (!net.ok()) return net.error();
    nets.emplace_back(*net);
  }
  const PartAt at = new_part(unit, std::move(made).value());
  const Result<const parts::PartType*> type = type_of(at);
  if (!type.ok()) return type.error();
  if ((*type)->pins.size() != nets.size())
    return usage(fmt::format("{} is a {} with {} pins, {} are connected", asked.ref, (*type)->id, (*type)->pins.size(), nets.size()), "name a pin or a net for each of its pins; - leaves one free");
  for (std::size_t i = 0; i < nets.size(); ++i)
    if (nets[i]) attach({at, (*type)->pins[i].number}, *nets[i]);
  return Done{};
}

Status SpecEditor::value(const std::vector<std::string>& words) {
  const Result<PartAt> at = find_part(words[0]);
  if (!at.ok()) return at.error();
  const Result<const parts::PartType*> type = type_of(*at);
  const auto kind = type.ok() ? value_kind(**type) : std::nullopt;
  if (kind && !parts::parse_value(words[1], *kind)) return usage(fmt::format("{} can't be read as a value of {}", in_quotes(words[1]), part(*at).ref), "as in 4.7k, 100n, 10u, 16MHz");
  part(*at).value = words[1];
  return Done{};
}

Status SpecEditor::becomes(const std::vector<std::string>& words) {
  const Result<PartAt> at = find_part(words[0]);
  if (!at.ok()) return at.error();
  const Result<const parts::PartType*> type = type_of(*at);
  const auto kind = type.ok() ? value_kind(**type) : std::nullopt;
  return kind && parts::parse_value(words[1], *kind) ? value(words) : fit(words);
}

Status SpecEditor::fit(const std::vector<std::string>& words) {
  const Result<PartAt> at = find_part(words[0]);
  if (!at.ok()) return at.error();
  const Result<const parts::PartType*> before = type_of(*at);
  const std::size_t pins = before.ok() ? (*before)->pins.size() : 0;
  const Result<PartSpec> made = described(part(*at).ref, words[1], pins);
  if (!made.ok()) return made.error();
  PartSpec& target = part(*at);
  target.type = made->type;
  target.family = made->family;
  target.value = made->value;
  target.fitted = true;
  const Result<const parts::PartType*> type = type_of(*at);
  if (!type.ok()) return type.error();
  const auto connected = at->unit == kNoUnit ? std::map<std::string, std::vector<std::string>, std::less<>>() : pins_in_nets(spec_.units[at->unit]);
  const auto own = connected.find(target.ref);
  for (const std::string& number : own == connected.end() ? std::vector<std::string>() : own->second)
    if (!(*type)->pin_by_number(number)) return usage(fmt::format("a {} has no pin {}, which is connected here", (*type)->id, number), "only a type for the same pins can be fitted");
  return Done{};
}

namespace {

Error told(Error error, const Amendment& amendment) {
  error.message = fmt::format("in {}: {}", in_quotes(amendment.typed), error.message);
  error.place = amendment.place;
  return error;
}

/// Kept corrections, then the first answer of every question.
Result<std::vector<Amendment>> standing(const MachineSpec& spec) {
  Errors errors;
  std::vector<Amendment> out;
  const auto take = [&](const std::string& line, const Place& place) {
    Result<Amendment> parsed = parse_amendment(line, place);
    if (parsed.ok()) { out.push_back(std::move(parsed).value()); return; }
    Error error = parsed.error();
    error.code = ErrorCode::bad_input;
    errors.add(std::move(error));
  };
  for (std::size_t i = 0; i < spec.amendments.size(); ++i) take(spec.amendments[i], i < spec.amendments_at.size() ? spec.amendments_at[i] : Place{});
  for (const QuestionSpec& question : spec.questions)
    if (!question.answers.empty())
      for (const std::string& line : question.answers.front().amendments) take(line, question.place);
  if (!errors.empty()) return errors.joined();
  return out;
}

}  // namespace

Result<MachineSpec> amend(MachineSpec spec, const std::vector<Amendment>& amendments, const parts::Library& library) {
  std::vector<Amendment> all;
  if (!spec.amended) {
    Result<std::vector<Amendment>> kept = standing(spec);
    if (!kept.ok()) return kept.error();
    all = std::move(kept).value();
  }
  const std::size_t kept_count = all.size();
  spec.amended = true;
  all.insert(all.end(), amendments.begin(), amendments.end());
  if (all.empty()) return spec;
  SpecEditor editor(std::move(spec), library);
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Status status = editor.apply(all[i]);
    if (status.ok()) continue;
    Error error = told(status.error(), all[i]);
    if (i < kept_count) error.code = ErrorCode::bad_input;
    return error;
  }
  return std::move(editor).take();
}

}  // namespace halfsplit::board
