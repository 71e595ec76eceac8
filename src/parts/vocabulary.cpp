#include "parts/vocabulary.h"

#include <algorithm>
#include <optional>
#include <set>

#include "base/text.h"

namespace halfsplit::parts {

namespace {

using DocumentNode = halfsplit::Node;

constexpr Effect kEffects[] = {Effect::stuck_low,  Effect::stuck_high, Effect::no_drive,  Effect::drives_wrong,  Effect::ignores_input,
                               Effect::drags,      Effect::dead,       Effect::always_drives, Effect::never_enabled, Effect::cell_stuck,
                               Effect::cell_dead,  Effect::content_wrong, Effect::open,   Effect::shorted,       Effect::resistive,
                               Effect::drifted,    Effect::weak,       Effect::intermittent, Effect::none};
constexpr ModeAt kPlaces[] = {ModeAt::part,         ModeAt::each_output,  ModeAt::each_input, ModeAt::each_data,
                              ModeAt::each_address, ModeAt::each_element, ModeAt::each_supply};
constexpr const char* kGroups[] = {"stuck",     "float",   "weak",    "bit",    "content",  "dead-chip", "short-rail",
                                   "open-path", "contact", "cap-age", "supply", "mech-key", "assembly",  "setup"};

template <class Word, std::size_t N>
std::optional<Word> word_of(const Word (&list)[N], std::string_view text) {
  for (const Word each : list)
    if (text == name_of(each)) return each;
  return std::nullopt;
}
template <class Word, std::size_t N>
std::vector<std::string> names_of(const Word (&list)[N]) {
  std::vector<std::string> out;
  for (const Word each : list) out.emplace_back(name_of(each));
  return out;
}
std::string hint_from(std::string_view word, const std::vector<std::string>& all) {
  const std::string near = nearest(word, all);
  return near.empty() ? "one of: " + join(all, " ") : near;
}

Family read_family(const DocumentNode& table, Errors& errors) {
  Fields fields(table, errors);
  Family family;
  family.id = fields.need_text("id");
  family.technology = fields.text("technology").value_or("");
  family.letters = fields.texts("letters").value_or(std::vector<std::string>{});
  family.low_v = fields.need_number("low_v");
  family.high_v = fields.need_number("high_v");
  family.input_low_v = fields.need_number("input_low_v");
  family.input_high_v = fields.need_number("input_high_v");
  family.float_v = fields.need_number("float_v");
  family.low_wins = fields.boolean("low_wins").value_or(true);
  family.floats_high = fields.boolean("floats_high").value_or(true);
  if (family.low_v >= family.high_v) fields.fail("low_v must be below high_v", table.place);
  if (family.input_low_v >= family.input_high_v) fields.fail("input_low_v must be below input_high_v", table.place);
  fields.finish();
  return family;
}

class ClassReader {
 public:
  explicit ClassReader(Errors& errors) : errors_(errors) {}

  ClassModes read(const DocumentNode& table) {
    Fields fields(table, errors_);
    ClassModes out;
    out.rate_class = fields.need_text("name");
    out.technology = fields.text("technology").value_or("");
    out.technologies = fields.texts("technologies").value_or(std::vector<std::string>{});
    if (!out.technology.empty() && !out.technologies.empty()) fields.fail("a class has technology, or technologies that share its modes, not both", table.place);
    const DocumentNode* modes = fields.array("modes");
    if (!modes || modes->items.empty()) fields.fail("class " + out.rate_class + " has no modes", table.place);
    else
      for (const DocumentNode& item : modes->items) read_mode(item, out);
    fields.finish();
    return out;
  }

 private:
  void fail(const Place& place, std::string message, std::string hint = {}) { errors_.add(bad_input(std::move(message), place, std::move(hint))); }

  void read_mode(const DocumentNode& item, ClassModes& out) {
    const bool four = item.kind == DocumentNode::Kind::array && item.items.size() == 4 &&
                      std::all_of(item.items.begin(), item.items.end(), [](const DocumentNode& n) { return n.kind == DocumentNode::Kind::text; });
    if (!four) return fail(item.place, "a mode is four texts: title, effect, where, evidence group");
    Mode mode;
    mode.title = item.items[0].text;
    mode.id = slug(mode.title);
    const auto effect = word_of(kEffects, item.items[1].text);
    if (!effect) fail(item.items[1].place, "no effect " + item.items[1].text, hint_from(item.items[1].text, names_of(kEffects)));
    const auto at = word_of(kPlaces, item.items[2].text);
    if (!at) fail(item.items[2].place, "a mode can't sit at " + item.items[2].text, hint_from(item.items[2].text, names_of(kPlaces)));
    mode.evidence_group = item.items[3].text;
    const std::vector<std::string> groups(std::begin(kGroups), std::end(kGroups));
    if (std::find(groups.begin(), groups.end(), mode.evidence_group) == groups.end())
      fail(item.items[3].place, "no evidence group " + mode.evidence_group, hint_from(mode.evidence_group, groups));
    for (const Mode& other : out.modes)
      if (other.id == mode.id) fail(item.place, "mode \"" + mode.title + "\" is there twice");
    mode.effect = effect.value_or(Effect::none);
    mode.at = at.value_or(ModeAt::part);
    out.modes.push_back(std::move(mode));
  }

  Errors& errors_;
};

}  // namespace

std::string slug(std::string_view title) {
  std::string out;
  for (const char c : lower(title)) {
    const bool keep = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    if (keep) out += c;
    else if (!out.empty() && out.back() != '-') out += '-';
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out;
}

Result<std::vector<Family>> read_families(const DocumentNode& document) {
  Errors errors;
  Fields fields(document, errors);
  fields.need_format(1);
  std::vector<Family> out;
  if (const DocumentNode* list = fields.array("family"))
    for (const DocumentNode& table : list->items) {
      Family family = read_family(table, errors);
      for (const Family& other : out)
        if (other.id == family.id) fields.fail("family " + family.id + " is there twice", table.place);
      out.push_back(std::move(family));
    }
  fields.finish();
  if (!errors.empty()) return errors.joined();
  return out;
}

Status read_classes(const DocumentNode& document, Vocabulary& vocabulary) {
  Errors errors;
  Fields fields(document, errors);
  fields.need_format(1);
  vocabulary.function_groups = fields.texts("function_groups").value_or(std::vector<std::string>{});
  ClassReader reader(errors);
  std::set<std::pair<std::string, std::string>> seen;
  if (const DocumentNode* list = fields.array("class"))
    for (const DocumentNode& table : list->items) {
      vocabulary.classes.push_back(reader.read(table));
      const ClassModes& added = vocabulary.classes.back();
      if (!seen.emplace(added.rate_class, added.technology).second) fields.fail("class " + added.rate_class + " is there twice", table.place);
    }
  if (!seen.contains({"logic", ""})) fields.fail("class logic is missing: it stands in for classes without modes", document.place);
  fields.finish();
  if (!errors.empty()) return errors.joined();
  return Done{};
}

}  // namespace halfsplit::parts
