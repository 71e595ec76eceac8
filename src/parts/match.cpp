#include "parts/match.h"

#include <algorithm>

#include "base/text.h"
#include "parts/match_table.h"
#include "parts/numbered.h"
#include "parts/package.h"
#include "parts/part_number.h"

namespace halfsplit::parts {

namespace {

/// Letters in front of a reference, without the path of its unit: "kbd/SW12" -> "SW".
std::string prefix_of(std::string_view reference) {
  const std::size_t slash = reference.rfind('/');
  if (slash != std::string_view::npos) reference.remove_prefix(slash + 1);
  std::size_t end = 0;
  while (end < reference.size() && ((reference[end] >= 'A' && reference[end] <= 'Z') || (reference[end] >= 'a' && reference[end] <= 'z'))) ++end;
  return upper(reference.substr(0, end));
}

/// Lower case, one spelling of micro and ohm, no library name in front.
std::string comparable(std::string_view text) {
  std::string out = lower(trim(text));
  const auto replace = [&](std::string_view from, std::string_view to) {
    for (std::size_t at = 0; (at = out.find(from, at)) != std::string::npos; at += to.size()) out.replace(at, from.size(), to);
  };
  replace("\xc2\xb5", "u");
  replace("\xce\xbc", "u");
  replace("\xce\xa9", "ohm");
  replace("\xe2\x84\xa6", "ohm");
  return out;
}

class Matcher {
 public:
  Matcher(const Library& library, const PartDescription& part)
      : library_(library), table_(library.match_table()), part_(part), value_(comparable(part.value)), footprint_(comparable(part.footprint)), prefix_(prefix_of(part.reference)) {
    const std::size_t colon = footprint_.find(':');
    if (colon != std::string::npos) footprint_.erase(0, colon + 1);
    if (value_ == "~") value_.clear();
    count_ = std::max(part.pin_count, part.pins.size());
    place_ = part;
    place_.pin_count = count_;
  }

  std::optional<TypeMatch> run() {
    if (auto match = by_rules(table_.by_footprint, Stage::footprint)) return match;
    if (auto match = by_number()) return match;
    if (auto match = by_rules(table_.by_value, Stage::value)) return match;
    return by_rules(table_.by_reference, Stage::reference);
  }

 private:
  enum class Stage : std::uint8_t { footprint, value, reference };

  // ---- rules ----
  static bool any_fits(const std::vector<std::string>& patterns, std::string_view text) {
    return patterns.empty() || std::any_of(patterns.begin(), patterns.end(), [&](const std::string& pattern) { return fits_pattern(text, pattern); });
  }

  bool fits(const MatchRule& rule) const {
    if (!any_fits(rule.footprint, footprint_) || !any_fits(rule.value, value_)) return false;
    if (!rule.reference.empty() && std::find(rule.reference.begin(), rule.reference.end(), prefix_) == rule.reference.end()) return false;
    if (count_ > 0 && !rule.pins.empty() &&
        std::none_of(rule.pins.begin(), rule.pins.end(), [&](const auto& range) { return count_ >= range.first && count_ <= range.second; }))
      return false;
    if (!rule.reads) return true;
    const auto value = parse_value(part_.value, *rule.reads);
    return value && *value >= rule.at_least;
  }

  std::optional<TypeMatch> by_rules(const std::vector<MatchRule>& rules, Stage stage) const {
    for (const MatchRule& rule : rules) {
      if (!fits(rule)) continue;
      bool guessed = false;
      auto id = resolve(rule.type, rule.order, guessed);
      if (!id) continue;
      TypeMatch match;
      match.type = std::move(*id);
      match.value = text_of(rule);
      match.how = how(rule, stage);
      if (!rule.ask.empty() && (guessed || rule.order.empty())) {
        bool unused = false;
        auto other = rule.otherwise.find('/') != std::string::npos ? std::optional(rule.otherwise) : resolve(rule.otherwise, {}, unused);
        if (other && *other != match.type && library_.type(*other).ok()) {
          match.ask = rule.ask;
          match.otherwise = std::move(*other);
        }
      }
      return match;
    }
    return std::nullopt;
  }

  static const char* how(const MatchRule& rule, Stage stage) {
    const bool value = !rule.value.empty() || rule.reads;
    switch (stage) {
      case Stage::footprint: return value ? "value and footprint" : "footprint";
      case Stage::value: return rule.footprint.empty() ? "value" : "value and footprint";
      case Stage::reference: break;
    }
    return "prefix";
  }

  std::string text_of(const MatchRule& rule) const {
    if (value_.empty()) return {};
    if (rule.kind)
      if (const auto value = parse_value(part_.value, *rule.kind)) return value_text(*value, *rule.kind);
    return std::string(trim(part_.value));
  }

  // ---- pins ----
  /// Id with the pins of this place; `guessed` when the order of the rule had to decide which pin is which.
  std::optional<std::string> resolve(const std::string& base, const std::string& order, bool& guessed) const {
    const auto type = library_.type(base);
    if (!type.ok()) return std::nullopt;
    return (*type)->numbered ? numbered(base) : fixed(**type, base, order, guessed);
  }

  std::optional<std::string> numbered(const std::string& base) const {
    if (!part_.pins.empty()) {
      const auto made = library_.type_with_pins(base, part_.pins);
      return made.ok() ? std::optional((*made)->id) : std::nullopt;
    }
    std::size_t count = count_;
    if (count == 0) count = pins_told(part_.footprint);
    if (count == 0) count = pins_told(part_.value);
    if (count == 0) return base;
    const std::string id = base + "/" + std::to_string(count);
    return library_.type(id).ok() ? std::optional(id) : std::nullopt;
  }

  std::optional<std::string> fixed(const PartType& type, const std::string& base, const std::string& order, bool& guessed) const {
    if (count_ > type.pins.size() || (count_ > 0 && 2 * count_ <= type.pins.size())) return std::nullopt;
    if (auto id = with_order(type, base, order, guessed)) return id;
    if (auto id = by_names(type, base)) return id;
    return in_a_row(type, base);
  }

  /// True when the netlist's own pin identifiers are the numbers of the type; false when it gives none.
  bool holds_all(const PartType& type) const {
    return !part_.pins.empty() && std::all_of(part_.pins.begin(), part_.pins.end(), [&](const std::string& pin) { return type.pin_by_number(pin).has_value(); });
  }

  std::optional<std::string> with_order(const PartType& type, const std::string& base, const std::string& order, bool& guessed) const {
    if (holds_all(type)) return base;
    std::string found = footprint_order(type);
    const bool from_rule = found.empty();
    if (from_rule) found = order;
    const std::string id = found.empty() ? base : base + "/" + found;
    const auto ordered = library_.type(id);
    if (!ordered.ok() || (!part_.pins.empty() && !holds_all(**ordered))) return std::nullopt;
    guessed = from_rule && !order.empty();
    return id;
  }

  /// Order of the pins told by a footprint such as TO-92_Inline_CBE, for types whose pins have one letter each.
  std::string footprint_order(const PartType& type) const {
    std::string letters;
    for (const Pin& pin : type.pins) {
      if (pin.name.size() != 1) return {};
      letters += pin.name;
    }
    std::sort(letters.begin(), letters.end());
    std::string word;
    for (const char c : part_.footprint + "_") {
      if (c != '_' && c != '-' && c != ' ') {
        word += c;
        continue;
      }
      std::string sorted = word;
      std::sort(sorted.begin(), sorted.end());
      if (letters.size() > 1 && sorted == letters) {
        std::string out;
        for (const char letter : word) out += (out.empty() ? "" : ",") + std::string(1, letter);
        return out;
      }
      word.clear();
    }
    return {};
  }

  /// The netlist numbers pins by name: "A" and "K", "A" and "C", "+" and "-".
  std::optional<std::string> by_names(const PartType& type, const std::string& base) const {
    std::vector<std::string> labels;
    for (const std::string& pin : part_.pins) {
      std::string name = upper(pin);
      if (!type.pin_by_name(name) && (name == "C" || name == "CATHODE" || name == "KATHODE" || name == "CAT")) name = "K";
      if (!type.pin_by_name(name) && name == "ANODE") name = "A";
      if (!type.pin_by_name(name)) return std::nullopt;
      labels.push_back(pin + "=" + name);
    }
    return existing(base, labels, type);
  }

  /// Parts without polarity: any two labels will do, in natural order.
  std::optional<std::string> in_a_row(const PartType& type, const std::string& base) const {
    const bool symmetric = std::all_of(type.pins.begin(), type.pins.end(), [](const Pin& pin) { return pin.name == pin.number; });
    if (!symmetric || part_.pins.size() != type.pins.size()) return std::nullopt;
    std::vector<std::string> pins = part_.pins, labels;
    std::sort(pins.begin(), pins.end(), natural_less);
    for (std::size_t i = 0; i < pins.size(); ++i) labels.push_back(pins[i] + "=" + type.pins[i].name);
    return existing(base, labels, type);
  }

  std::optional<std::string> existing(const std::string& base, std::vector<std::string> labels, const PartType& type) const {
    if (labels.size() != type.pins.size()) return std::nullopt;
    std::sort(labels.begin(), labels.end(), natural_less);
    const std::string id = join_type_id(base, labels);
    return library_.type(id).ok() ? std::optional(id) : std::nullopt;
  }

  // ---- numbers of the library ----
  std::optional<TypeMatch> by_number() const {
    const std::vector<std::string> tokens = value_tokens(part_.value);
    for (const std::string& token : tokens)
      if (auto match = logic(token)) return match;
    if (!may_be_number(tokens)) return std::nullopt;
    for (std::size_t count = tokens.size(); count >= 2; --count) {
      std::string joined = tokens[0];
      for (std::size_t i = 1; i < count; ++i) joined += tokens[i];
      const bool words = std::all_of(tokens.begin() + 1, tokens.begin() + static_cast<std::ptrdiff_t>(count), [](const std::string& t) { return t[0] >= 'A' && t[0] <= 'Z'; });
      if (words)
        if (auto match = number(joined)) return match;
    }
    for (const std::string& token : tokens)
      if (auto match = number(token)) return match;
    for (const std::string& token : tokens)
      if (auto match = nickname(token)) return match;
    return std::nullopt;
  }

  /// "CIA", "SID": a word without figures counts only as another name of a type and where the number of pins is known.
  std::optional<TypeMatch> nickname(const std::string& token) const {
    if (count_ == 0 || token.size() < 3 || token.find_first_of("0123456789") != std::string::npos) return std::nullopt;
    const auto id = fitting(token);
    if (!id || upper(*id) == token) return std::nullopt;
    return TypeMatch{*id, "", std::string(trim(part_.value)), "value", {}, {}};
  }

  std::optional<TypeMatch> logic(const std::string& token) const {
    const auto found = logic_number(token, library_.families(), table_);
    if (!found) return std::nullopt;
    const bool certain = !found->bare || found->letters.size() >= 2 || (count_ > 0 && package_of(part_.footprint));
    if (!certain) return std::nullopt;
    std::vector<std::string> names{"74" + found->letters + found->number, "74" + found->number};
    if (found->number.size() == 4) names.push_back(found->number);  // 74HC4066
    for (const std::string& name : names)
      if (auto id = fitting(name)) return TypeMatch{*id, found->family, "74" + found->letters + found->number, "number printed", {}, {}};
    return std::nullopt;
  }

  std::optional<TypeMatch> number(const std::string& token) const {
    for (const NumberCandidate& candidate : number_candidates(token, table_)) {
      const auto id = fitting(candidate.text);
      if (!id) continue;
      const std::string& own = (*library_.type(*id))->family;
      const bool cmos = own == "NMOS" && is_cmos_number(token);
      return TypeMatch{*id, cmos ? "CMOS" : "", std::string(trim(part_.value)), "number printed", {}, {}};
    }
    return std::nullopt;
  }

  std::optional<std::string> fitting(const std::string& name) const {
    for (const std::string& id : library_.named(name)) {
      const auto type = library_.type(id);
      if (type.ok() && !(*type)->numbered && !(*type)->pins.empty() && fits_place(**type, place_)) return id;
    }
    return std::nullopt;
  }

  /// False where the text says what a part does ("UART CLK"), or where only its prefix tells a value from a number.
  bool may_be_number(const std::vector<std::string>& tokens) const {
    if (package_of(part_.footprint)) return true;
    for (const std::string& token : tokens)
      for (const std::string_view word : split(token, '-'))
        if (std::find(table_.roles.begin(), table_.roles.end(), word) != table_.roles.end()) return false;
    if (count_ > 0) return true;
    return std::none_of(table_.by_reference.begin(), table_.by_reference.end(), [&](const MatchRule& rule) {
      return rule.reads && std::find(rule.reference.begin(), rule.reference.end(), prefix_) != rule.reference.end() && parse_value(part_.value, *rule.reads);
    });
  }

  const Library& library_;
  const MatchTable& table_;
  const PartDescription& part_;
  PartDescription place_;  ///< with the number of pins made sure
  std::string value_, footprint_, prefix_;
  std::size_t count_ = 0;
};

}  // namespace

std::optional<TypeMatch> match_type(const Library& library, const PartDescription& description) { return Matcher(library, description).run(); }

}  // namespace halfsplit::parts
