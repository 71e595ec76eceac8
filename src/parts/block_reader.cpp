// Reads the behaviour blocks of a part file by the key table of parts/template_table.h.
#include <algorithm>
#include <unordered_map>

#include "base/text.h"
#include "parts/expression_parser.h"
#include "parts/numbered.h"
#include "parts/type_file.h"

namespace halfsplit::parts {

namespace {

using DocumentNode = halfsplit::Node;

class BlockReader {
 public:
  BlockReader(TypeFile& file, Errors& errors) : file_(file), type_(file.type), errors_(errors) {
    for (std::size_t i = 0; i < type_.pins.size(); ++i) {
      const auto [entry, fresh] = by_name_.emplace(type_.pins[i].name, static_cast<std::uint16_t>(i));
      if (!fresh) repeated_.push_back(type_.pins[i].name);
      names_.push_back(type_.pins[i].name);
    }
  }

  void read(const TemplateRule& rule, const DocumentNode& table) {
    if (table.kind != DocumentNode::Kind::table) {
      errors_.add(bad_input(std::string("a block is written [[") + name_of(rule.kind) + "]]", table.place));
      return;
    }
    Fields fields(table, errors_);
    if (type_.numbered) read_numbered(rule, table, fields);
    else read_plain(rule, table, fields);
    fields.finish();
  }

 private:
  void fail(const Place& place, std::string message, std::string hint = {}) { errors_.add(bad_input(std::move(message), place, std::move(hint))); }

  // ---- types with pins of their own ----
  void read_plain(const TemplateRule& rule, const DocumentNode& table, Fields& fields) {
    const std::size_t before = errors_.count();
    Block block;
    block.kind = rule.kind;
    for (const KeyRule& key : rule.keys) read_key(rule, key, table, fields, block);
    if (rule.kind == Template::processor || rule.kind == Template::master) read_cycles(fields, block);
    if (errors_.count() != before) return;
    check_counts(rule, table, block);
    if (rule.kind == Template::memory) check_memory(table, block);
    if (errors_.count() != before) return;
    repeat_single_end(table, block);
    type_.blocks.push_back(std::move(block));
  }

  void read_key(const TemplateRule& rule, const KeyRule& key, const DocumentNode& table, Fields& fields, Block& block) {
    const DocumentNode* value = fields.any(key.name);
    if (!value) {
      if (key.needed) fail(table.place, std::string(name_of(rule.kind)) + " needs the key " + std::string(key.name));
      return;
    }
    switch (key.kind) {
      case KeyRule::Kind::pins:
      case KeyRule::Kind::drivers: block.ports.emplace_back(std::string(key.name), pins_of(key, *value)); break;
      case KeyRule::Kind::terms: block.terms.emplace_back(std::string(key.name), terms_of(key, *value)); break;
      default: read_word(key, *value, block.words);
    }
  }

  void read_word(const KeyRule& key, const DocumentNode& value, std::vector<std::pair<std::string, std::string>>& words_out) {
    const std::string name(key.name);
    if (key.kind == KeyRule::Kind::truth) {
      if (value.kind != DocumentNode::Kind::boolean) return fail(value.place, name + " is true or false");
      words_out.emplace_back(name, value.boolean ? "true" : "false");
    } else if (key.kind == KeyRule::Kind::number) {
      if (value.kind != DocumentNode::Kind::integer && value.kind != DocumentNode::Kind::real) return fail(value.place, name + " is a number");
      words_out.emplace_back(name, shown(value.real, 12));
    } else {
      if (value.kind != DocumentNode::Kind::text) return fail(value.place, name + " is a word", "one of: " + std::string(key.choices));
      const auto choices = words(key.choices);
      if (std::find(choices.begin(), choices.end(), value.text) == choices.end())
        return fail(value.place, name + " can't be \"" + value.text + "\"", "one of: " + std::string(key.choices));
      words_out.emplace_back(name, value.text);
    }
  }

  /// The texts behind a key: one text or a list of texts.
  std::vector<const DocumentNode*> texts_of(const KeyRule& key, const DocumentNode& value) {
    std::vector<const DocumentNode*> out;
    if (value.kind == DocumentNode::Kind::text) return {&value};
    if (value.kind == DocumentNode::Kind::array) {
      for (const DocumentNode& item : value.items) {
        if (item.kind == DocumentNode::Kind::text) out.push_back(&item);
        else fail(item.place, std::string(key.name) + " holds texts only");
      }
      if (!out.empty()) return out;
    }
    fail(value.place, std::string(key.name) + " is a text or a list of texts");
    return {};
  }

  std::vector<std::uint16_t> pins_of(const KeyRule& key, const DocumentNode& value) {
    std::vector<std::uint16_t> out;
    for (const DocumentNode* text : texts_of(key, value)) {
      TextTrouble trouble;
      const auto expanded = expand_pattern(text->text, trouble);
      if (expanded.empty()) fail(place_in(text->place, text->text, trouble.offset), trouble.message, trouble.hint);
      for (const Expanded& name : expanded) {
        const auto pin = pin_named(name.text, place_in(text->place, text->text, name.source.front()));
        if (!pin) continue;
        if (key.kind == KeyRule::Kind::drivers && !can_drive(type_.pins[*pin].role))
          fail(place_in(text->place, text->text, name.source.front()), "pin " + name.text + " can't drive: its role is " + name_of(type_.pins[*pin].role));
        out.push_back(*pin);
      }
    }
    if (key.single && out.size() > 1) fail(value.place, std::string(key.name) + " is one pin");
    return out;
  }

  std::optional<std::uint16_t> pin_named(std::string_view name, const Place& place) {
    if (std::find(repeated_.begin(), repeated_.end(), name) != repeated_.end()) {
      fail(place, "several pins are named " + std::string(name));
      return std::nullopt;
    }
    const auto found = by_name_.find(std::string(name));
    if (found != by_name_.end()) return found->second;
    fail(place, "no pin is named " + std::string(name), name_hint(name));
    return std::nullopt;
  }

  std::string name_hint(std::string_view name) const {
    if (!name.empty() && name[0] == '/') return "pin names stand here without their slash";
    return nearest(name, names_);
  }

  std::vector<Expression> terms_of(const KeyRule& key, const DocumentNode& value) {
    std::vector<Expression> out;
    const PinLookup lookup = [this](std::string_view name) -> std::optional<std::uint16_t> {
      const auto found = by_name_.find(std::string(name));
      return found == by_name_.end() ? std::nullopt : std::optional(found->second);
    };
    const PinHint hint = [this](std::string_view name) { return name_hint(name); };
    for (const DocumentNode* text : texts_of(key, value)) {
      TextTrouble trouble;
      const auto expanded = expand_pattern(text->text, trouble);
      if (expanded.empty()) fail(place_in(text->place, text->text, trouble.offset), trouble.message, trouble.hint);
      for (const Expanded& one : expanded) {
        auto parsed = parse_expression_text(one.text, lookup, hint);
        if (auto* expression = std::get_if<Expression>(&parsed)) {
          out.push_back(std::move(*expression));
          continue;
        }
        const TextTrouble& wrong = std::get<TextTrouble>(parsed);
        fail(place_in(text->place, text->text, one.source[std::min(wrong.offset, one.source.size() - 1)]), wrong.message, wrong.hint);
        break;  // its brothers have the same trouble
      }
    }
    if (key.single && out.size() > 1) fail(value.place, std::string(key.name) + " is one expression");
    return out;
  }

  static std::size_t size_of(const Block& block, std::string_view name) { return std::max(block.port(name).size(), block.term(name).size()); }

  void check_counts(const TemplateRule& rule, const DocumentNode& table, const Block& block) {
    for (const KeyRule& key : rule.keys) {
      if (key.as_many_as.empty()) continue;
      const std::size_t have = size_of(block, key.name), want = size_of(block, key.as_many_as);
      const bool one_is_enough = key.kind == KeyRule::Kind::terms && !key.needed;
      const bool open_is_shared = rule.kind == Template::latch && key.name == "open";
      if (have == 0 || have == want || (have == 1 && (one_is_enough || open_is_shared))) continue;
      const DocumentNode* value = table.find(key.name);
      fail(value ? value->place : table.place,
           std::string(key.name) + " has " + std::to_string(have) + " entries, " + std::string(key.as_many_as) + " has " + std::to_string(want));
    }
  }

  void check_memory(const DocumentNode& table, const Block& block) {
    const bool data = !block.port("data").empty(), in = !block.port("in").empty(), out = !block.port("out").empty();
    if (data && (in || out)) fail(table.place, "a memory has data, or in and out, not both");
    if (!data && !out) fail(table.place, "a memory needs data, or in and out");
    if (in && out && block.port("in").size() != block.port("out").size()) fail(table.place, "in and out must be equally many");
    const bool dram = block.word("kind") == "dram";
    if (dram && (block.term("row").empty() || block.term("column").empty())) fail(table.place, "a dram needs row and column");
    if (!dram && (!block.term("row").empty() || !block.term("column").empty())) fail(table.place, "row and column belong to a dram");
    if (block.word("kind") != "rom" && block.term("write").empty()) fail(table.place, "this memory needs write");
  }

  void repeat_single_end(const DocumentNode& table, Block& block) {
    if (!is_element(block.kind)) return;
    auto& a = block.ports[0].second;
    auto& b = block.ports[1].second;
    const std::size_t count = std::max(a.size(), b.size());
    if (a.size() == 1) a.resize(count, a[0]);
    if (b.size() == 1) b.resize(count, b[0]);
    if (a.size() != b.size()) fail(table.place, "the two ends are not equally many");
  }

  // ---- bus cycles ----
  void read_cycles(Fields& fields, Block& block) {
    const DocumentNode* list = fields.array("cycle");
    if (!list || list->items.empty()) return fail(fields.place(), std::string(name_of(block.kind)) + " needs at least one [[" + name_of(block.kind) + ".cycle]]");
    for (const DocumentNode& item : list->items) {
      if (item.kind != DocumentNode::Kind::table) fail(item.place, "a cycle is a table");
      else block.cycles.push_back(read_cycle(item));
    }
  }

  BusCycle read_cycle(const DocumentNode& table) {
    Fields fields(table, errors_);
    BusCycle cycle;
    cycle.name = fields.need_text("name");
    cycle.space = fields.text("space").value_or("");
    read_direction(table, fields, cycle);
    cycle.setup = levels_of(fields.any("setup"));
    cycle.active = levels_of(fields.any("active"));
    static constexpr KeyRule kAddress{"address"}, kPhaseClock{"phase-clock", KeyRule::Kind::pins, false, true};
    if (const DocumentNode* address = fields.any("address")) cycle.address = pins_of(kAddress, *address);
    if (const DocumentNode* clock = fields.any("phase-clock")) {
      const auto pins = pins_of(kPhaseClock, *clock);
      if (!pins.empty()) cycle.phase_clock = pins[0];
    }
    fields.finish();
    return cycle;
  }

  void read_direction(const DocumentNode& table, Fields& fields, BusCycle& cycle) {
    const std::string word = fields.need_text("direction");
    if (word == "read") cycle.direction = BusCycle::Direction::read;
    else if (word == "write") cycle.direction = BusCycle::Direction::write;
    else if (word == "none") cycle.direction = BusCycle::Direction::none;
    else if (!word.empty()) fail(table.find("direction")->place, "direction can't be \"" + word + "\"", "one of: read write none");
  }

  /// "MREQ=0 RD=0"
  std::vector<std::pair<std::uint16_t, bool>> levels_of(const DocumentNode* value) {
    std::vector<std::pair<std::uint16_t, bool>> out;
    if (!value) return out;
    if (value->kind != DocumentNode::Kind::text) {
      fail(value->place, "levels are written as one text", "\"MREQ=0 RD=0\"");
      return out;
    }
    for (const std::string_view word : words(value->text)) {
      const Place place = place_in(value->place, value->text, static_cast<std::size_t>(word.data() - value->text.data()));
      const std::size_t equals = word.find('=');
      const std::string_view level = equals == std::string_view::npos ? std::string_view() : word.substr(equals + 1);
      if (level != "0" && level != "1") {
        fail(place, "a level is written NAME=0 or NAME=1");
        continue;
      }
      if (const auto pin = pin_named(word.substr(0, equals), place)) out.emplace_back(*pin, level == "1");
    }
    return out;
  }

  // ---- numbered types ----
  void read_numbered(const TemplateRule& rule, const DocumentNode& table, Fields& fields) {
    if (!is_element(rule.kind)) fail(table.place, std::string("a numbered type can't have ") + name_of(rule.kind) + " blocks", "contact, resistor, capacitor, inductor, diode");
    const bool diode = rule.kind == Template::diode;
    NumberedBlock block;
    block.kind = rule.kind;
    block.a = selector_of(diode ? "anode" : "a", table, fields);
    block.b = selector_of(diode ? "cathode" : "b", table, fields);
    for (const KeyRule& key : rule.keys) {
      if (key.kind == KeyRule::Kind::pins) continue;
      if (const DocumentNode* value = fields.any(key.name)) read_word(key, *value, block.words);
    }
    file_.blocks.push_back(std::move(block));
  }

  std::string selector_of(const char* key, const DocumentNode& table, Fields& fields) {
    std::string word = fields.need_text(key);
    if (!word.empty() && !is_selector(word)) fail(table.find(key)->place, std::string(key) + " can't be \"" + word + "\"", "one of: " + selector_words());
    return word;
  }

  TypeFile& file_;
  PartType& type_;
  Errors& errors_;
  std::unordered_map<std::string, std::uint16_t> by_name_;
  std::vector<std::string> repeated_, names_;
};

}  // namespace

void read_blocks(Fields& fields, TypeFile& file, Errors& errors) {
  struct Item { const TemplateRule* rule; const DocumentNode* table; };
  std::vector<Item> items;
  for (const TemplateRule& rule : template_rules()) {
    const DocumentNode* list = fields.array(name_of(rule.kind));
    if (!list) continue;
    for (const DocumentNode& table : list->items) items.push_back({&rule, &table});
  }
  std::stable_sort(items.begin(), items.end(), [](const Item& a, const Item& b) { return a.table->place.line < b.table->place.line; });
  BlockReader reader(file, errors);
  for (const Item& item : items) reader.read(*item.rule, *item.table);
}

}  // namespace halfsplit::parts
