// Reads machine.toml, then every unit's files; gathers them from a folder.
#include <fmt/core.h>

#include <algorithm>
#include <filesystem>

#include "base/text.h"
#include "board/part_line.h"
#include "board/spec_reader.h"

namespace halfsplit::board {

namespace {

namespace fs = std::filesystem;
using DocumentNode = halfsplit::Node;

constexpr std::size_t kMostUnits = 32;
constexpr const char* kUnitFiles[] = {"board.toml", "parts.toml", "nets.toml", "layout.toml"};

bool is_unit_name(std::string_view name) {
  const auto fits = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_'; };
  return !name.empty() && std::all_of(name.begin(), name.end(), fits);
}

/// Reads the tables of one machine.toml.
class MachineReader {
 public:
  MachineReader(const DocumentNode& document, MachineSpec& spec, Errors& errors) : fields_(document, errors), document_(document), spec_(spec), errors_(errors) {}

  void read() {
    fields_.need_format(1);
    spec_.id = fields_.need_text("id");
    if (!spec_.id.empty() && !is_unit_name(spec_.id)) fail("id", "an id is letters, digits, - and _");
    spec_.title = fields_.text("title").value_or("");
    spec_.maker = fields_.text("maker").value_or("");
    spec_.revision = fields_.text("revision").value_or("");
    read_units();
    each("mate", &MachineReader::read_mate);
    each("surrounding", &MachineReader::read_surrounding);
    each("function", &MachineReader::read_function);
    each("question", &MachineReader::read_question);
    each("zone", &MachineReader::read_zone);
    read_texts(fields_, "amendments", spec_.amendments, spec_.amendments_at);
    fields_.finish();
  }

 private:
  void fail(std::string_view key, std::string message, std::string hint = {}) {
    const DocumentNode* node = document_.find(key);
    errors_.add(bad_input(std::move(message), node ? node->place : document_.place, std::move(hint)));
  }

  void each(std::string_view key, void (MachineReader::*reader)(const DocumentNode&)) {
    const DocumentNode* list = fields_.array(key);
    if (!list) return;
    for (const DocumentNode& item : list->items) (this->*reader)(item);
  }

  void read_units() {
    std::vector<std::string> names;
    std::vector<Place> places;
    read_texts(fields_, "units", names, places);
    const std::string only = fields_.text("unit").value_or("");
    if (document_.find("units") && document_.find("unit")) fail("unit", "units and unit can't both be there", "unit names a machine's only unit, whose files lie beside machine.toml");
    if (document_.find("units") && names.empty()) fail("units", "units is empty", "leave it out when the files lie beside machine.toml");
    if (!document_.find("units")) names = {only}, places = {document_.find("unit") ? document_.find("unit")->place : document_.place};
    if (names.size() > kMostUnits) {
      fail("units", fmt::format("more than {} units", kMostUnits));
      names.resize(kMostUnits);
    }
    for (std::size_t i = 0; i < names.size(); ++i) {
      const bool unnamed = names[i].empty() && !document_.find("units") && !document_.find("unit");
      if (!unnamed && !is_unit_name(names[i])) errors_.add(bad_input(fmt::format("{} can't be the name of a unit", in_quotes(names[i])), places[i], "letters, digits, - and _"));
      if (std::find(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(i), names[i]) != names.begin() + static_cast<std::ptrdiff_t>(i))
        errors_.add(bad_input(fmt::format("unit {} is named twice", names[i]), places[i]));
      UnitSpec unit;
      unit.name = names[i];
      unit.place = places[i];
      spec_.units.push_back(std::move(unit));
    }
  }

  void read_mate(const DocumentNode& table) {
    Fields fields(table, errors_);
    MateSpec mate;
    mate.place = table.place;
    mate.a = fields.need_text("a");
    mate.b = fields.need_text("b");
    mate.cable = fields.text("cable").value_or("");
    if (!mate.cable.empty() && !is_reference(mate.cable))
      fields.fail(fmt::format("{} can't be a reference", in_quotes(mate.cable)), table.find("cable")->place, "cable is the reference of the cable, as in W1");
    if (fields.text("map")) {
      const DocumentNode& map = *table.find("map");
      for (const Piece& piece : pieces_of(map.text)) read_map_pair(map, piece, mate);
      if (mate.map.empty()) fields.fail("map is empty", map.place, "leave it out when pins of one number meet");
    }
    fields.finish();
    spec_.mates.push_back(std::move(mate));
  }

  void read_map_pair(const DocumentNode& map, const Piece& piece, MateSpec& mate) {
    const std::size_t sign = piece.text.find('=');
    const auto a = parse_pin_list(piece.text.substr(0, sign));
    const auto b = sign == std::string_view::npos ? std::vector<std::string>{} : parse_pin_list(piece.text.substr(sign + 1));
    if (a.empty() || a.size() != b.size()) {
      errors_.add(bad_input(fmt::format("{} is no pair of pins", in_quotes(piece.text)), inside(map, piece.offset), "write a's pin, =, b's pin: \"1=16 2=15\", or runs: \"1..8=9..16\""));
      return;
    }
    for (std::size_t i = 0; i < a.size(); ++i) mate.map.emplace_back(a[i], b[i]);
  }

  void read_surrounding(const DocumentNode& table) {
    Fields fields(table, errors_);
    PartSpec part;
    part.place = table.place;
    part.ref = fields.need_text("ref");
    if (table.find("ref") && !is_reference(part.ref)) fields.fail(fmt::format("{} can't be a reference", in_quotes(part.ref)), table.find("ref")->place, "no blanks and none of . / ~ , @ =");
    part.type = fields.need_text("type");
    part.value = fields.text("title").value_or("");
    part.note = fields.text("note").value_or("");
    part.fitted = fields.boolean("fitted").value_or(true);
    fields.finish();
    spec_.surroundings.push_back(std::move(part));
  }

  void read_function(const DocumentNode& table) {
    Fields fields(table, errors_);
    FunctionSpec function;
    function.place = table.place;
    function.id = fields.need_text("id");
    if (table.find("id") && (function.id.empty() || function.id.find_first_of(" \t\r\n\"") != std::string::npos))
      fields.fail(fmt::format("{} can't be the id of a function", in_quotes(function.id)), table.find("id")->place, "one word, as in key-a");
    function.title = fields.text("title").value_or("");
    function.kind = fields.text("kind").value_or("");
    check_word(fields, table, "kind", function.kind, function_kinds());
    read_texts(fields, "needs", function.needs, function.needs_at);
    function.held = fields.text("held").value_or("");
    fields.finish();
    spec_.functions.push_back(std::move(function));
  }

  void check_word(Fields& fields, const DocumentNode& table, const char* key, const std::string& word, const std::vector<std::string>& known) {
    if (!table.find(key) || std::find(known.begin(), known.end(), word) != known.end()) return;
    const auto near = did_you_mean(word, known);
    fields.fail(fmt::format("there is no {} {}", key, in_quotes(word)), table.find(key)->place, near ? fmt::format("did you mean {}?", in_quotes(*near)) : "known: " + join(known, ", "));
  }

  void read_question(const DocumentNode& table) {
    Fields fields(table, errors_);
    QuestionSpec question;
    question.place = table.place;
    question.id = fields.need_text("id");
    question.text = fields.need_text("text");
    if (const DocumentNode* answers = fields.array("answer"))
      for (const DocumentNode& item : answers->items) question.answers.push_back(read_answer(item));
    if (question.answers.empty()) fields.fail("a question needs its answers", table.place, "write [[question.answer]] with word and amend; the first is the default");
    fields.finish();
    spec_.questions.push_back(std::move(question));
  }

  Question::Answer read_answer(const DocumentNode& table) {
    Fields fields(table, errors_);
    Question::Answer answer;
    answer.word = fields.need_text("word");
    std::vector<Place> places;
    read_texts(fields, "amend", answer.amendments, places);
    fields.finish();
    return answer;
  }

  void read_zone(const DocumentNode& table) {
    Fields fields(table, errors_);
    ZoneSpec zone;
    zone.place = table.place;
    zone.id = fields.need_text("id");
    zone.title = fields.text("title").value_or("");
    zone.hazard = fields.need_text("hazard");
    check_word(fields, table, "hazard", zone.hazard, {"mains", "charge", "tube", "cell", "heat", "solvent"});
    zone.caution = fields.text("caution").value_or("");
    zone.open_when = fields.text("open-when").value_or("");
    zone.parts = fields.texts("parts").value_or(std::vector<std::string>{});
    fields.finish();
    spec_.zones.push_back(std::move(zone));
  }

  Fields fields_;
  const DocumentNode& document_;
  MachineSpec& spec_;
  Errors& errors_;
};

/// Parses one file of the set; nothing, and an error, when it isn't there or isn't TOML.
std::optional<DocumentNode> document_of(const SpecFiles& files, const std::string& folder, const std::string& name, bool needed, Errors& errors) {
  const std::string path = folder.empty() ? name : folder + "/" + name;
  const auto file = files.find(name);
  if (file == files.end()) {
    if (needed) errors.add(bad_input(fmt::format("{} is missing", name), Place{path, 0, 0}, "every unit has board.toml, parts.toml and nets.toml"));
    return std::nullopt;
  }
  Result<DocumentNode> document = parse_document(file->second, path);
  if (document.ok()) return std::move(document).value();
  errors.add(document.error());
  return std::nullopt;
}

void read_types(const SpecFiles& files, const std::string& folder, const std::string& prefix, UnitSpec& unit, Errors& errors) {
  const std::string head = prefix + "types/";
  std::vector<std::pair<std::string, DocumentNode>> found;
  for (auto file = files.lower_bound(head); file != files.end() && starts_with(file->first, head); ++file) {
    std::optional<DocumentNode> document = document_of(files, folder, file->first, true, errors);
    if (!document) continue;
    const DocumentNode* id = document->find("id");
    const std::string name = id && id->kind == DocumentNode::Kind::text ? id->text : "";
    if (name.empty()) errors.add(bad_input("id is missing", document->place, "every part type has its id"));
    const auto twin = std::find_if(found.begin(), found.end(), [&](const auto& other) { return !name.empty() && other.first == name; });
    if (twin != found.end()) errors.add(bad_input(fmt::format("part type {} is there twice", in_quotes(name)), id->place, "the other is in " + twin->second.place.file));
    found.emplace_back(name, std::move(*document));
  }
  std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return natural_less(a.first, b.first); });
  for (auto& [name, document] : found) unit.types.push_back(std::move(document));
}

void read_unit(const SpecFiles& files, const std::string& folder, bool own_folder, UnitSpec& unit, Errors& errors) {
  const std::string prefix = own_folder ? unit.name + "/" : "";
  using Reader = void (*)(const DocumentNode&, UnitSpec&, Errors&);
  const Reader readers[] = {read_board_file, read_parts_file, read_nets_file, read_layout_file};
  for (std::size_t i = 0; i < std::size(kUnitFiles); ++i) {
    const bool needed = readers[i] != read_layout_file;
    const auto document = document_of(files, folder, prefix + kUnitFiles[i], needed, errors);
    if (document) readers[i](*document, unit, errors);
  }
  read_types(files, folder, prefix, unit, errors);
}

}  // namespace

const std::vector<std::string>& function_kinds() {
  static const std::vector<std::string> kinds = {"runs", "rom-starts", "picture", "sound", "key", "serial", "cassette", "disk", "other"};
  return kinds;
}

void read_machine_file(const DocumentNode& document, MachineSpec& spec, Errors& errors) { MachineReader(document, spec, errors).read(); }

Result<MachineSpec> parse_spec(const SpecFiles& files, const std::string& folder) {
  Errors errors;
  MachineSpec spec;
  const std::optional<DocumentNode> document = document_of(files, folder, "machine.toml", true, errors);
  if (!document) return errors.joined();
  read_machine_file(*document, spec, errors);
  const bool own_folders = document->find("units") != nullptr;
  for (UnitSpec& unit : spec.units) {
    if (own_folders && !is_unit_name(unit.name)) continue;
    read_unit(files, folder, own_folders, unit, errors);
  }
  if (!errors.empty()) return errors.joined();
  return spec;
}

namespace {

/// Adds the files of this format that lie in `at` (machine folder or unit folder) under `prefix`.
void gather(const fs::path& at, const std::string& prefix, SpecFiles& files, Errors& errors) {
  std::vector<std::string> names(std::begin(kUnitFiles), std::end(kUnitFiles));
  names.emplace_back("machine.toml");
  std::error_code error;
  for (fs::directory_iterator it(at / "types", error), end; !error && it != end; it.increment(error))
    if (it->path().extension() == ".toml") names.push_back("types/" + it->path().filename().string());
  for (const std::string& name : names) {
    const fs::path path = at / name;
    std::error_code missing;
    if (!fs::is_regular_file(path, missing)) continue;
    Result<std::string> text = read_file(path.string());
    if (text.ok()) files[prefix + name] = std::move(text).value();
    else errors.add(text.error());
  }
}

}  // namespace

Result<SpecFiles> gather_spec_files(const std::string& folder) {
  SpecFiles files;
  Errors errors;
  std::error_code error;
  gather(folder, "", files, errors);
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    std::error_code not_there;
    const std::string name = it->path().filename().string();
    if (it->is_directory(not_there) && is_unit_name(name) && name != "types") gather(it->path(), name + "/", files, errors);
  }
  if (!errors.empty()) return errors.joined();
  return files;
}

Result<MachineSpec> load_spec(const std::string& folder) {
  const Result<SpecFiles> files = gather_spec_files(folder);
  if (!files.ok()) return files.error();
  if (!files->contains("machine.toml")) return not_found("there is no machine in " + folder, "a machine's folder holds machine.toml");
  return parse_spec(*files, folder);
}

}  // namespace halfsplit::board
