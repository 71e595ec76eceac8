#include "parts/numbered.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <set>

#include "base/text.h"

namespace halfsplit::parts {

namespace {

constexpr std::size_t kMostLabels = 512;
constexpr const char* kSelectors[] = {"first", "last", "rest", "all-but-last", "odd", "even", "lower", "upper", "upper-back"};

bool plain_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '+' || c == '-';
}

std::string encoded(std::string_view label) {
  static constexpr char kHex[] = "0123456789ABCDEF";
  std::string out;
  for (const char c : label) {
    if (plain_letter(c) || c == '=') {
      out += c;
      continue;
    }
    const auto byte = static_cast<unsigned char>(c);
    out += '%';
    out += kHex[byte >> 4];
    out += kHex[byte & 15];
  }
  return out;
}

std::optional<std::string> decoded(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '%') {
      if (!plain_letter(text[i]) && text[i] != '=') return std::nullopt;
      out += text[i];
      continue;
    }
    unsigned byte = 0;
    if (i + 2 >= text.size()) return std::nullopt;
    const auto [end, error] = std::from_chars(text.data() + i + 1, text.data() + i + 3, byte, 16);
    if (error != std::errc() || end != text.data() + i + 3) return std::nullopt;
    out += static_cast<char>(byte);
    i += 2;
  }
  return out;
}

/// "A12" = head "A", number 12; nothing when there is no number or it has leading zeros.
struct Counted { std::string_view head; unsigned number = 0; };
std::optional<Counted> counted(std::string_view label) {
  std::size_t digits = label.size();
  while (digits > 0 && label[digits - 1] >= '0' && label[digits - 1] <= '9') --digits;
  const std::string_view tail = label.substr(digits);
  if (tail.empty() || tail.size() > 6 || (tail.size() > 1 && tail[0] == '0')) return std::nullopt;
  Counted out{label.substr(0, digits), 0};
  std::from_chars(tail.data(), tail.data() + tail.size(), out.number);
  return out;
}

Error wrong_id(std::string_view id, std::string why) { return bad_input("part type " + std::string(id) + ": " + std::move(why), {}, "header/16, dsub/0..9, npn/E,B,C"); }

bool add_range(std::string_view item, std::size_t dots, std::vector<std::string>& labels) {
  const auto from = counted(item.substr(0, dots)), to = counted(item.substr(dots + 2));
  if (!from || !to || from->head != to->head || to->number < from->number || to->number - from->number >= kMostLabels) return false;
  for (unsigned n = from->number; n <= to->number; ++n) labels.push_back(std::string(from->head) + std::to_string(n));
  return true;
}

std::vector<std::uint16_t> selected(std::string_view word, std::size_t count) {
  std::vector<std::uint16_t> out;
  const auto add = [&](std::size_t from, std::size_t to, std::size_t step) {
    for (std::size_t i = from; i < to; i += step) out.push_back(static_cast<std::uint16_t>(i));
  };
  if (word == "first") add(0, 1, 1);
  else if (word == "last") add(count - 1, count, 1);
  else if (word == "rest") add(1, count, 1);
  else if (word == "all-but-last") add(0, count - 1, 1);
  else if (word == "odd") add(0, count, 2);
  else if (word == "even") add(1, count, 2);
  else if (word == "lower") add(0, count / 2, 1);
  else add(count / 2, count, 1);
  if (word == "upper-back") std::reverse(out.begin(), out.end());
  return out;
}

Status add_block(const NumberedBlock& rule, PartType& type) {
  Block block;
  block.kind = rule.kind;
  auto a = selected(rule.a, type.pins.size()), b = selected(rule.b, type.pins.size());
  const std::size_t count = std::max(a.size(), b.size());
  if (a.size() == 1) a.resize(count, a[0]);
  if (b.size() == 1) b.resize(count, b[0]);
  if (a.size() != b.size()) return bad_input("part type " + type.id + ": " + rule.a + " and " + rule.b + " are not equally many pins");
  const bool diode = rule.kind == Template::diode;
  block.ports.emplace_back(diode ? "anode" : "a", std::move(a));
  block.ports.emplace_back(diode ? "cathode" : "b", std::move(b));
  block.words = rule.words;
  type.blocks.push_back(std::move(block));
  return Done{};
}

Status check_count(const TypeFile& file, std::size_t count) {
  const std::string name = "part type " + file.type.id;
  if (count < file.least || count > file.most)
    return bad_input(name + " has " + std::to_string(file.least) + " to " + std::to_string(file.most) + " pins, not " + std::to_string(count));
  if (file.even && count % 2 != 0) return bad_input(name + " has an even number of pins, not " + std::to_string(count));
  return Done{};
}

}  // namespace

bool is_selector(std::string_view word) { return std::find(std::begin(kSelectors), std::end(kSelectors), word) != std::end(kSelectors); }

std::string selector_words() { return join({std::begin(kSelectors), std::end(kSelectors)}, " "); }

Result<TypeId> split_type_id(std::string_view id) {
  TypeId out;
  const std::size_t slash = id.find('/');
  out.base = std::string(id.substr(0, slash));
  if (slash == std::string_view::npos) return out;
  out.plain = false;
  std::string_view rest = id.substr(slash + 1);
  const auto lone = counted(rest);
  if (lone && lone->head.empty()) {
    if (lone->number == 0 || lone->number > kMostLabels) return wrong_id(id, "1 to 512 pins can be made");
    for (unsigned n = 1; n <= lone->number; ++n) out.labels.push_back(std::to_string(n));
    return out;
  }
  if (ends_with(rest, ",")) rest.remove_suffix(1);
  for (const std::string_view item : split(rest, ',')) {
    const std::size_t dots = item.find("..");
    if (dots != std::string_view::npos) {
      if (!add_range(item, dots, out.labels)) return wrong_id(id, "a range is written A1..A12");
    } else {
      auto label = decoded(item);
      if (!label || label->empty()) return wrong_id(id, "\"" + std::string(item) + "\" is no pin label");
      out.labels.push_back(std::move(*label));
    }
    if (out.labels.size() > kMostLabels) return wrong_id(id, "more than 512 pins");
  }
  return out;
}

std::string join_type_id(std::string_view base, const std::vector<std::string>& labels) {
  std::string out(base);
  out += '/';
  std::vector<std::string> items;
  for (std::size_t i = 0; i < labels.size();) {
    std::size_t end = i + 1;
    const auto first = counted(labels[i]);
    const bool plain = first && std::all_of(first->head.begin(), first->head.end(), plain_letter);
    while (plain && end < labels.size()) {
      const auto next = counted(labels[end]);
      if (!next || next->head != first->head || next->number != first->number + (end - i)) break;
      ++end;
    }
    if (end - i >= 3) {
      items.push_back(labels[i] + ".." + labels[end - 1]);
    } else {
      for (std::size_t k = i; k < end; ++k) items.push_back(encoded(labels[k]));
    }
    i = end;
  }
  const bool one_to_n = items.size() == 1 && labels.size() >= 3 && labels[0] == "1";
  if (one_to_n || labels == std::vector<std::string>{"1"} || labels == std::vector<std::string>{"1", "2"}) return out + std::to_string(labels.size());
  const auto lone = items.size() == 1 && labels.size() == 1 ? counted(labels[0]) : std::nullopt;
  return out + join(items, ",") + (lone && lone->head.empty() ? "," : "");
}

Result<PartType> make_numbered(const TypeFile& file, const std::vector<std::string>& numbers) {
  HS_REQUIRE(file.type.numbered, "only numbered types get their pins made");
  if (Status status = check_count(file, numbers.size()); !status.ok()) return status.error();
  PartType type = file.type;
  type.id = join_type_id(file.type.id, numbers);
  type.numbered = false;
  type.title += numbers.size() == 1 ? ", 1 pin" : ", " + std::to_string(numbers.size()) + " pins";
  std::set<std::string> seen;
  for (const std::string& number : numbers) {
    if (number.empty()) return bad_input("part type " + file.type.id + ": a pin without a number");
    if (!seen.insert(number).second) return bad_input("part type " + file.type.id + ": pin " + number + " is there twice");
    type.pins.push_back({number, number, false, PinRole::passive, 0});
  }
  for (const NumberedBlock& block : file.blocks)
    if (Status status = add_block(block, type); !status.ok()) return status.error();
  return type;
}

Result<PartType> renumber(const PartType& type, const std::vector<std::string>& labels) {
  PartType out = type;
  out.id = join_type_id(type.id, labels);
  std::vector<bool> done(type.pins.size(), false);
  std::set<std::string> numbers;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const std::size_t equals = labels[i].find('=');
    const std::string number = equals == std::string::npos ? std::to_string(i + 1) : labels[i].substr(0, equals);
    const std::string name = equals == std::string::npos ? labels[i] : labels[i].substr(equals + 1);
    if (number.empty() || !numbers.insert(number).second) return bad_input("part type " + out.id + ": pin number \"" + number + "\" is empty or there twice");
    const auto pin = type.pin_by_name(name);
    if (!pin && name == "nc") {
      out.pins.push_back({number, "NC", false, PinRole::not_connected, 0});
      continue;
    }
    if (!pin) {
      std::vector<std::string> known;
      for (const Pin& each : type.pins) known.push_back(each.name);
      return bad_input("part type " + type.id + " has no pin named " + name, {}, "its pins: " + join(known, " "));
    }
    if (done[*pin]) return bad_input("part type " + out.id + ": pin " + name + " is there twice");
    done[*pin] = true;
    out.pins[*pin].number = number;
  }
  const auto missing = std::find(done.begin(), done.end(), false);
  if (missing != done.end())
    return bad_input("part type " + out.id + ": no number for pin " + type.pins[static_cast<std::size_t>(missing - done.begin())].name);
  return out;
}

}  // namespace halfsplit::parts
