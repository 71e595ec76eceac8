#include "parts/match_table.h"

#include <algorithm>
#include <charconv>

#include "base/text.h"
#include "parts/type_file.h"

namespace halfsplit::parts {

namespace {

using DocumentNode = halfsplit::Node;

std::optional<ValueKind> kind_named(std::string_view word) {
  if (word == "resistance") return ValueKind::resistance;
  if (word == "capacitance") return ValueKind::capacitance;
  if (word == "inductance") return ValueKind::inductance;
  if (word == "frequency") return ValueKind::frequency;
  return std::nullopt;
}

class RuleReader {
 public:
  RuleReader(const DocumentNode& table, Errors& errors) : table_(table), fields_(table, errors) {}

  MatchRule run(std::string_view needed) {
    rule_.type = fields_.need_text("type");
    rule_.order = fields_.text("order").value_or("");
    rule_.footprint = patterns("footprint");
    rule_.value = patterns("value");
    rule_.reference = fields_.texts("reference").value_or(std::vector<std::string>{});
    for (std::string& prefix : rule_.reference) prefix = upper(prefix);
    pins();
    rule_.reads = kind("reads");
    rule_.kind = kind("kind");
    if (rule_.reads && !rule_.kind) rule_.kind = rule_.reads;
    rule_.at_least = fields_.number("at_least").value_or(0);
    if (table_.find("at_least") && !rule_.reads) fields_.fail("at_least needs reads", place_of("at_least"));
    rule_.ask = fields_.text("ask").value_or("");
    rule_.otherwise = fields_.text("otherwise").value_or("");
    if (rule_.ask.empty() != rule_.otherwise.empty()) fields_.fail("ask and otherwise go together", table_.place);
    if (!table_.find(needed)) fields_.fail("this rule needs the key " + std::string(needed), table_.place);
    fields_.finish();
    return std::move(rule_);
  }

 private:
  const Place& place_of(std::string_view key) const {
    const DocumentNode* node = table_.find(key);
    return node ? node->place : table_.place;
  }

  std::vector<std::string> patterns(std::string_view key) {
    std::vector<std::string> out = fields_.texts(key).value_or(std::vector<std::string>{});
    for (std::string& pattern : out) {
      pattern = lower(pattern);
      if (pattern.empty()) fields_.fail("an empty pattern fits nothing", place_of(key));
    }
    return out;
  }

  /// "2", "2..4", "3..", or a list of them.
  void pins() {
    for (const std::string& text : fields_.texts("pins").value_or(std::vector<std::string>{})) {
      const std::size_t dots = text.find("..");
      const auto from = number(std::string_view(text).substr(0, dots));
      const bool open = dots != std::string::npos && dots + 2 == text.size();
      const auto to = dots == std::string::npos ? from : open ? std::optional<std::size_t>(512) : number(std::string_view(text).substr(dots + 2));
      if (!from || !to || *from > *to || *to == 0) return fields_.fail("pins is written \"2\", \"2..4\" or \"3..\"", place_of("pins"));
      rule_.pins.emplace_back(*from, *to);
    }
  }

  static std::optional<std::size_t> number(std::string_view text) {
    std::size_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
  }

  std::optional<ValueKind> kind(std::string_view key) {
    const auto word = fields_.text(key);
    if (!word) return std::nullopt;
    const auto found = kind_named(*word);
    if (!found) fields_.fail(std::string(key) + " can't be \"" + *word + "\"", place_of(key), "one of: resistance capacitance inductance frequency");
    return found;
  }

  const DocumentNode& table_;
  Fields fields_;
  MatchRule rule_;
};

std::vector<MatchRule> read_rules(Fields& fields, std::string_view key, Errors& errors) {
  std::vector<MatchRule> out;
  const DocumentNode* list = fields.array(key);
  if (!list) return out;
  for (const DocumentNode& table : list->items) {
    if (table.kind == DocumentNode::Kind::table) out.push_back(RuleReader(table, errors).run(key));
    else errors.add(bad_input("a rule is a table", table.place));
  }
  return out;
}

}  // namespace

Result<MatchTable> read_match_table(const DocumentNode& document) {
  Errors errors;
  Fields fields(document, errors);
  MatchTable out;
  fields.need_format(1);
  out.makers = fields.texts("makers").value_or(std::vector<std::string>{});
  out.roles = fields.texts("roles").value_or(std::vector<std::string>{});
  for (std::string& maker : out.makers) maker = upper(maker);
  for (std::string& role : out.roles) role = upper(role);
  std::sort(out.makers.begin(), out.makers.end(), [](const std::string& a, const std::string& b) { return a.size() != b.size() ? a.size() > b.size() : a < b; });
  out.by_footprint = read_rules(fields, "footprint", errors);
  out.by_value = read_rules(fields, "value", errors);
  out.by_reference = read_rules(fields, "reference", errors);
  fields.finish();
  if (!errors.empty()) return errors.joined();
  return out;
}

bool fits_pattern(std::string_view text, std::string_view pattern) {
  std::size_t t = 0, p = 0, star = std::string_view::npos, resume = 0;
  while (t < text.size()) {
    const bool digit = text[t] >= '0' && text[t] <= '9';
    if (p < pattern.size() && pattern[p] == '*') {
      star = p++;
      resume = t;
    } else if (p < pattern.size() && (pattern[p] == '?' || (pattern[p] == '#' && digit) || (pattern[p] == text[t] && pattern[p] != '#'))) {
      ++t;
      ++p;
    } else if (star != std::string_view::npos) {
      p = star + 1;
      t = ++resume;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == '*') ++p;
  return p == pattern.size();
}

}  // namespace halfsplit::parts
