// Writes a spec as the files that parse_spec() reads; what it wrote is read back and compared before it is handed out.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>

#include "base/text.h"
#include "board/part_line.h"
#include "board/spec.h"
#include "board/toml_text.h"

namespace halfsplit::board {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t kWidth = 120;

/// Collects "key = value" lines or the members of an inline table, leaving out what has its default.
class Pairs {
 public:
  void raw(std::string_view key, std::string value) { items_.push_back(fmt::format("{} = {}", toml_key(key), value)); }
  void text(std::string_view key, std::string_view value) {
    if (!value.empty()) raw(key, toml_quoted(value));
  }
  void number(std::string_view key, double value) { raw(key, toml_number(value)); }
  void texts(std::string_view key, const std::vector<std::string>& values) {
    if (values.empty()) return;
    std::vector<std::string> items;
    for (const std::string& value : values) items.push_back(toml_quoted(value));
    raw(key, toml_list(items, kWidth - 10));
  }
  std::string lines() const { return items_.empty() ? "" : join(items_, "\n") + "\n"; }
  std::string inline_table() const { return "{ " + join(items_, ", ") + " }"; }

 private:
  std::vector<std::string> items_;
};

std::string position_text(const Position& at) { return fmt::format("[{}, {}]", toml_number(at.x_mm), toml_number(at.y_mm)); }

std::string part_value(const PartSpec& part) {
  const bool plain = part.fitted && !part.socketed && !part.at && part.footprint.empty() && part.note.empty() && part.pin_numbers.empty();
  if (plain)
    if (const auto text = short_part_text({part.type, part.family, part.value})) return toml_quoted(*text);
  Pairs pairs;
  pairs.raw("type", toml_quoted(part.type));
  pairs.text("family", part.family);
  pairs.text("value", part.value);
  if (!part.fitted) pairs.raw("fitted", "false");
  if (part.socketed) pairs.raw("socketed", "true");
  if (part.at) pairs.raw("at", position_text(*part.at));
  pairs.text("pins", pin_list_text(part.pin_numbers));
  pairs.text("footprint", part.footprint);
  pairs.text("note", part.note);
  return pairs.inline_table();
}

std::string parts_file(const UnitSpec& unit) {
  std::string out = "# One line a part: type, family, value; or a table with more.\nformat = 1\n\n[parts]\n";
  for (const PartSpec& part : unit.parts) out += toml_key(part.ref) + " = " + part_value(part) + "\n";
  return out;
}

/// The pins of a net as one text, or as a list of texts when they don't fit one line.
std::string pins_value(const NetSpec& net, std::size_t key_width) {
  std::vector<std::string> rows(1);
  for (const PinRef& pin : net.pins) {
    const std::string word = pin.part + "." + pin.pin;
    if (!rows.back().empty() && key_width + rows.back().size() + word.size() + 6 > kWidth) rows.emplace_back();
    rows.back() += (rows.back().empty() ? "" : " ") + word;
  }
  if (rows.size() == 1) return toml_quoted(rows.front());
  std::string out = "[\n";
  for (const std::string& row : rows) out += "  " + toml_quoted(row) + ",\n";
  return out + "]";
}

std::string nets_file(const UnitSpec& unit) {
  std::string out = "# One line a net: its pins, part and pin with a dot between.\nformat = 1\n\n[nets]\n";
  for (const NetSpec& net : unit.nets) {
    const std::string key = toml_key(net.name);
    out += key + " = " + pins_value(net, key.size()) + "\n";
  }
  return out;
}

/// Empty when no pin has a place.
std::string layout_file(const UnitSpec& unit) {
  std::string out;
  for (const PartSpec& part : unit.parts) {
    if (part.pin_at.empty()) continue;
    std::vector<std::string> words;
    for (const auto& [pin, at] : part.pin_at) words.push_back(fmt::format("{}@{},{}", pin, toml_number(at.x_mm), toml_number(at.y_mm)));
    out += toml_key(part.ref) + " = " + toml_quoted(join(words, " ")) + "\n";
  }
  return out.empty() ? out : "# Where pins are, in millimetres.\nformat = 1\n\n[pins]\n" + out;
}

std::string board_file(const UnitSpec& unit) {
  Pairs head;
  head.raw("format", "1");
  head.text("title", unit.title);
  head.text("revision", unit.revision);
  head.texts("grounds", unit.grounds);
  std::string out = head.lines();
  for (const SupplySpec& supply : unit.supplies) {
    Pairs pairs;
    pairs.raw("net", toml_quoted(supply.net));
    pairs.number("volts", supply.volts);
    if (supply.tolerance != SupplySpec{}.tolerance) pairs.number("tolerance", supply.tolerance);
    pairs.text("from", supply.from);
    out += "\n[[supply]]\n" + pairs.lines();
  }
  for (const auto& [net, moves] : unit.sources) {
    Pairs pairs;
    pairs.raw("net", toml_quoted(net));
    if (moves != kSourceMoves) pairs.number("moves", moves);
    out += "\n[[source]]\n" + pairs.lines();
  }
  return out;
}

std::string mate_text(const MateSpec& mate) {
  Pairs pairs;
  pairs.raw("a", toml_quoted(mate.a));
  pairs.raw("b", toml_quoted(mate.b));
  std::vector<std::string> words;
  for (const auto& [a, b] : mate.map) words.push_back(a + "=" + b);
  pairs.text("map", join(words, " "));
  pairs.text("cable", mate.cable);
  return "\n[[mate]]\n" + pairs.lines();
}

std::string surrounding_text(const PartSpec& part) {
  Pairs pairs;
  pairs.raw("ref", toml_quoted(part.ref));
  pairs.raw("type", toml_quoted(part.type));
  pairs.text("title", part.value);
  pairs.text("note", part.note);
  if (!part.fitted) pairs.raw("fitted", "false");
  return "\n[[surrounding]]\n" + pairs.lines();
}

std::string function_text(const FunctionSpec& function) {
  Pairs pairs;
  pairs.raw("id", toml_quoted(function.id));
  pairs.text("title", function.title);
  pairs.text("kind", function.kind);
  pairs.texts("needs", function.needs);
  pairs.text("held", function.held);
  return "\n[[function]]\n" + pairs.lines();
}

std::string question_text(const QuestionSpec& question) {
  Pairs pairs;
  pairs.raw("id", toml_quoted(question.id));
  pairs.raw("text", toml_quoted(question.text));
  std::string out = "\n[[question]]\n" + pairs.lines();
  for (const Question::Answer& answer : question.answers) {
    Pairs inner;
    inner.raw("word", toml_quoted(answer.word));
    inner.texts("amend", answer.amendments);
    out += "[[question.answer]]\n" + inner.lines();
  }
  return out;
}

std::string zone_text(const ZoneSpec& zone) {
  Pairs pairs;
  pairs.raw("id", toml_quoted(zone.id));
  pairs.text("title", zone.title);
  pairs.raw("hazard", toml_quoted(zone.hazard));
  pairs.text("caution", zone.caution);
  pairs.text("open-when", zone.open_when);
  pairs.texts("parts", zone.parts);
  return "\n[[zone]]\n" + pairs.lines();
}

std::string machine_file(const MachineSpec& spec) {
  Pairs head;
  head.raw("format", "1");
  head.raw("id", toml_quoted(spec.id));
  head.text("title", spec.title);
  head.text("maker", spec.maker);
  head.text("revision", spec.revision);
  std::vector<std::string> units;
  for (const UnitSpec& unit : spec.units) units.push_back(unit.name);
  if (units.size() == 1) head.text("unit", units.front());
  else head.texts("units", units);
  head.texts("amendments", spec.amendments);
  std::string out = head.lines();
  for (const MateSpec& mate : spec.mates) out += mate_text(mate);
  for (const PartSpec& part : spec.surroundings) out += surrounding_text(part);
  for (const FunctionSpec& function : spec.functions) out += function_text(function);
  for (const QuestionSpec& question : spec.questions) out += question_text(question);
  for (const ZoneSpec& zone : spec.zones) out += zone_text(zone);
  return out;
}

bool finite(const Position& at) { return std::isfinite(at.x_mm) && std::isfinite(at.y_mm); }

/// Numbers that no file can say.
bool all_finite(const MachineSpec& spec) {
  for (const UnitSpec& unit : spec.units) {
    for (const PartSpec& part : unit.parts) {
      if (part.at && !finite(*part.at)) return false;
      for (const auto& [pin, at] : part.pin_at)
        if (!finite(at)) return false;
    }
    for (const SupplySpec& supply : unit.supplies)
      if (!std::isfinite(supply.volts) || !std::isfinite(supply.tolerance)) return false;
    for (const auto& [net, moves] : unit.sources)
      if (!std::isfinite(moves)) return false;
  }
  return true;
}

std::string type_id(const halfsplit::Node& type) {
  const halfsplit::Node* id = type.find("id");
  return id && id->kind == halfsplit::Node::Kind::text ? id->text : "";
}

/// A type's file name; empty when its id can't be one.
std::string type_file_name(const halfsplit::Node& type) {
  const std::string id = type_id(type);
  const auto fits = [](char c) { return static_cast<unsigned char>(c) > ' ' && c != '/' && c != '\\' && c != 0x7f; };
  return !id.empty() && id.front() != '.' && std::all_of(id.begin(), id.end(), fits) ? "types/" + id + ".toml" : "";
}

}  // namespace

Result<SpecFiles> spec_files(const MachineSpec& spec) {
  if (spec.amended) return usage("a machine with amendments applied is not written back", "keep the amendment as a line of its machine.toml");
  if (spec.units.empty()) return usage("a machine without units can't be written");
  if (!all_finite(spec)) return usage("a place or a voltage is not a finite number");
  SpecFiles files{{"machine.toml", machine_file(spec)}};
  for (const UnitSpec& unit : spec.units) {
    const std::string prefix = spec.units.size() == 1 ? "" : unit.name + "/";
    files[prefix + "board.toml"] = board_file(unit);
    files[prefix + "parts.toml"] = parts_file(unit);
    files[prefix + "nets.toml"] = nets_file(unit);
    if (const std::string layout = layout_file(unit); !layout.empty()) files[prefix + "layout.toml"] = layout;
    for (const halfsplit::Node& type : unit.types) {
      const std::string name = type_file_name(type);
      if (name.empty()) return usage(fmt::format("{} can't be the id of a part type", in_quotes(type_id(type))));
      files[prefix + name] = toml_document(type);
    }
  }
  const Result<MachineSpec> back = parse_spec(files);
  if (!back.ok()) return back.error();
  if (!same(*back, spec)) return usage("this machine can't be written as text: it reads back differently", "blanks or signs in a reference, pin or net name");
  return files;
}

namespace {

Error told(const std::error_code& error, const fs::path& path) { return store_trouble(fmt::format("can't write {}: {}", path.string(), error.message()), "check the permissions and the free space"); }

Status write_into(const SpecFiles& files, const fs::path& folder) {
  const auto write = [&](const std::string& name, const std::string& text) -> Status {
    const fs::path path = folder / name;
    std::error_code error;
    fs::create_directories(path.parent_path(), error);
    if (error) return told(error, path);
    return write_file(path.string(), text);
  };
  for (const auto& [name, text] : files)
    if (name != "machine.toml")
      if (Status status = write(name, text); !status.ok()) return status;
  return write("machine.toml", files.at("machine.toml"));  // last: without it the folder is no machine
}

/// A new folder appears whole or not at all.
Status write_new(const SpecFiles& files, const fs::path& folder) {
  const fs::path making(folder.string() + ".new");
  std::error_code error;
  fs::remove_all(making, error);
  if (Status status = write_into(files, making); !status.ok()) {
    fs::remove_all(making, error);
    return status;
  }
  fs::rename(making, folder, error);
  if (!error) return Done{};
  std::error_code ignored;
  fs::remove_all(making, ignored);
  return told(error, folder);
}

}  // namespace

Status write_spec(const MachineSpec& spec, const std::string& folder, bool replace) {
  const Result<SpecFiles> files = spec_files(spec);
  if (!files.ok()) return files.error();
  fs::path path = fs::path(folder).lexically_normal();
  if (!path.has_filename()) path = path.parent_path();  // "boards/primer/"
  std::error_code error;
  if (!fs::exists(path, error)) return write_new(*files, path);
  if (!fs::is_directory(path, error)) return bad_input("is no folder", Place{folder, 0, 0});
  const Result<SpecFiles> there = gather_spec_files(path.string());
  if (!there.ok()) return there.error();
  std::vector<std::string> differing;
  for (const auto& [name, text] : *there) {
    const auto ours = files->find(name);
    if (ours == files->end() || ours->second != text) differing.push_back(name);
  }
  const bool foreign = there->empty() && !fs::is_empty(path, error);
  if (!replace && (foreign || !differing.empty()))
    return needs_confirmation(foreign ? fmt::format("{} holds other files", folder) : fmt::format("{} holds another machine: {} would change", folder, join(differing, ", ")),
                              "take another folder, or confirm that it may be overwritten");
  if (Status status = write_into(*files, path); !status.ok()) return status;
  for (const auto& [name, text] : *there)
    if (!files->contains(name)) fs::remove(path / name, error);
  return Done{};
}

}  // namespace halfsplit::board
