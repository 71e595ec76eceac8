#include "parts/type_file.h"

#include <algorithm>

#include "base/text.h"
#include "parts/numbered.h"

namespace halfsplit::parts {

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
  const auto near = did_you_mean(word, candidates);
  return near ? "did you mean " + *near + "?" : std::string();
}

namespace {

constexpr std::size_t kMostPins = 512;

const Place& place_of(const halfsplit::Node& document, std::string_view key) {
  const halfsplit::Node* node = document.find(key);
  return node ? node->place : document.place;
}

bool is_id(std::string_view text) {
  return !text.empty() && text.size() <= 64 && std::all_of(text.begin(), text.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '.' || c == '+';
  });
}

class TypeReader {
 public:
  TypeReader(const halfsplit::Node& document, const Vocabulary& vocabulary) : document_(document), vocabulary_(vocabulary), fields_(document, errors_) {}

  Result<TypeFile> run() {
    fields_.need_format(1);
    read_identity();
    read_class();
    read_family();
    const bool pins = read_all_pins();
    if (pins) read_blocks(fields_, file_, errors_);
    else skip_blocks();
    fields_.finish();
    if (!errors_.empty()) return errors_.joined();
    return std::move(file_);
  }

 private:
  void read_identity() {
    PartType& type = file_.type;
    type.id = fields_.need_text("id");
    if (!type.id.empty() && !is_id(type.id)) fields_.fail("an id holds letters, digits and - _ . + only", place_of(document_, "id"));
    type.title = fields_.need_text("title");
    type.packages = fields_.texts("packages").value_or(std::vector<std::string>{});
    type.also = fields_.texts("also").value_or(std::vector<std::string>{});
    type.equivalents = fields_.texts("equivalents").value_or(std::vector<std::string>{});
    type.custom = fields_.boolean("custom").value_or(false);
    type.mos = fields_.boolean("mos").value_or(false);
    type.caution = fields_.text("caution").value_or("");
  }

  void read_class() {
    PartType& type = file_.type;
    type.rate_class = fields_.need_text("class");
    type.technology = fields_.text("technology").value_or("");
    type.function_group = fields_.text("group").value_or("");
    std::vector<std::string> classes, technologies;
    for (const ClassModes& entry : vocabulary_.classes) {
      classes.push_back(entry.rate_class);
      if (entry.rate_class != type.rate_class) continue;
      if (!entry.technology.empty()) technologies.push_back(entry.technology);
      technologies.insert(technologies.end(), entry.technologies.begin(), entry.technologies.end());
    }
    const auto holds = [](const std::vector<std::string>& list, const std::string& word) { return std::find(list.begin(), list.end(), word) != list.end(); };
    if (!type.rate_class.empty() && !holds(classes, type.rate_class))
      fields_.fail("no failure rates are kept for class \"" + type.rate_class + "\"", place_of(document_, "class"), nearest(type.rate_class, classes));
    else if (!type.technology.empty() && !holds(technologies, type.technology))
      fields_.fail("class \"" + type.rate_class + "\" has no technology \"" + type.technology + "\"", place_of(document_, "technology"),
                   technologies.empty() ? "leave it out" : "it has: " + join(technologies, "; "));
    if (!type.function_group.empty() && !holds(vocabulary_.function_groups, type.function_group))
      fields_.fail("no group \"" + type.function_group + "\"", place_of(document_, "group"), "groups: " + join(vocabulary_.function_groups, "; "));
  }

  void read_family() {
    PartType& type = file_.type;
    type.family = fields_.text("family").value_or("");
    if (type.family.empty()) return;
    std::vector<std::string> families;
    for (const Family& family : vocabulary_.families) families.push_back(family.id);
    if (std::find(families.begin(), families.end(), type.family) == families.end())
      fields_.fail("no logic family \"" + type.family + "\"", place_of(document_, "family"), nearest(type.family, families));
  }

  /// False when the pins could not be read: blocks would only repeat the trouble.
  bool read_all_pins() {
    const halfsplit::Node* pins = fields_.any("pins");
    if (!pins) {
      fields_.fail("pins are missing", document_.place, "pins = [\"1 A in\", ...], or pins = \"numbered\"");
      return false;
    }
    if (pins->kind == halfsplit::Node::Kind::text) return read_numbered(*pins);
    const std::size_t before = errors_.count();
    file_.type.pins = read_pins(*pins, errors_);
    return errors_.count() == before;
  }

  bool read_numbered(const halfsplit::Node& pins) {
    if (pins.text != "numbered") {
      fields_.fail("pins is a list of texts, or the word \"numbered\"", pins.place);
      return false;
    }
    file_.type.numbered = true;
    file_.least = count_of("least", 1);
    file_.most = count_of("most", kMostPins);
    file_.even = fields_.boolean("even").value_or(false);
    if (file_.least > file_.most) fields_.fail("least is more than most", place_of(document_, "least"));
    return true;
  }

  std::size_t count_of(std::string_view key, std::size_t otherwise) {
    const auto value = fields_.integer(key);
    if (!value) return otherwise;
    if (*value >= 1 && *value <= static_cast<std::int64_t>(kMostPins)) return static_cast<std::size_t>(*value);
    fields_.fail(std::string(key) + " must be between 1 and 512", place_of(document_, key));
    return otherwise;
  }

  void skip_blocks() {
    for (const TemplateRule& rule : template_rules()) (void)fields_.any(name_of(rule.kind));
    for (const char* key : {"least", "most", "even"}) (void)fields_.any(key);
  }

  const halfsplit::Node& document_;
  const Vocabulary& vocabulary_;
  Errors errors_;
  Fields fields_;
  TypeFile file_;
};

}  // namespace

Result<TypeFile> read_type_file(const halfsplit::Node& document, const Vocabulary& vocabulary) { return TypeReader(document, vocabulary).run(); }

}  // namespace halfsplit::parts
