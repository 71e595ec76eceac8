#include "knowledge/lesson_pack.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "base/scan.h"
#include "base/text.h"
#include "board/toml_text.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

constexpr std::size_t kLongestText = 200, kLongestRepair = 64 << 10, kMostBlames = 64, kMostSeen = 64, kMostExposures = 20000;
constexpr double kMostVersion = 1e9;

using board::toml_quoted;

// ---- writing ----

std::string count_text(Micro count) { return board::toml_number(static_cast<double>(count) / kOne); }

void add_text(std::string& out, const char* key, const std::string& value) {
  if (!value.empty()) out += fmt::format("{} = {}\n", key, toml_quoted(value));
}
/// `class = "logic", technology = "LS", ...`; the machine is said once above.
std::string strand_text(const Strand& strand) {
  std::string out = "class = " + toml_quoted(strand.rate_class);
  if (!strand.technology.empty()) out += ", technology = " + toml_quoted(strand.technology);
  if (!strand.type.empty()) out += ", type = " + toml_quoted(strand.type);
  if (!strand.position.empty()) out += ", position = " + toml_quoted(strand.position);
  return out;
}

std::string write_population(const Population& population) {
  std::string out = "[[population]]\n";
  add_text(out, "id", population.id);
  add_text(out, "machine", population.machine);
  add_text(out, "revision", population.revision);
  add_text(out, "profile", population.profile);
  out += "parts = [\n";
  for (const Exposure& part : population.parts) out += fmt::format("  {{ {}, expected = {} }},\n", strand_text(part.strand), count_text(part.expected));
  return out + "]\n";
}

// ---- reading ----

class Reader {
 public:
  explicit Reader(Errors& errors) : errors_(errors) {}

  std::string text(Fields& fields, const char* key, bool needed, std::size_t most = kLongestText) {
    const std::string out = needed ? fields.need_text(key) : fields.text(key).value_or("");
    const bool lines = most > kLongestText;
    const bool plain = std::all_of(out.begin(), out.end(), [&](char c) { return (static_cast<unsigned char>(c) >= 0x20 && c != 0x7f) || (lines && (c == '\n' || c == '\t')); });
    if (out.size() > most || !plain || utf8_length(out) != out.size()) fields.fail(fmt::format("{} must be plain text of at most {} bytes", key, most), fields.place());
    if (needed && out.empty()) fields.fail(std::string(key) + " is empty", fields.place());
    return out;
  }
  /// Letters, digits, and - _ . within.
  std::string id(Fields& fields, const char* key = "id") {
    const std::string out = text(fields, key, true);
    const bool good = std::all_of(out.begin(), out.end(), [](unsigned char c) { return std::isalnum(c) || c == '-' || c == '_' || c == '.'; }) && out.find("..") == std::string::npos;
    if (!good) fields.fail(in_quotes(out) + " is no id", fields.place(), "letters, digits, - _ .");
    return out;
  }
  std::int64_t version(Fields& fields) {
    const auto told = fields.integer("version");
    if (!told || *told < 1 || static_cast<double>(*told) > kMostVersion) fields.fail("version must be a whole number from 1", fields.place());
    return told.value_or(1);
  }
  Strand strand(Fields& fields, const std::string& machine) {
    return {text(fields, "class", true), text(fields, "technology", false), text(fields, "type", false), machine, text(fields, "position", false)};
  }

  Population population(Fields& fields) {
    Population out;
    out.id = id(fields);
    out.machine = text(fields, "machine", true);
    out.revision = text(fields, "revision", false);
    out.profile = id(fields, "profile");
    for_each_table(fields, "parts", errors_, [&](Fields& part) {
      Exposure one{strand(part, out.machine), micro(part, "expected", 20)};
      out.parts.push_back(std::move(one));
    });
    std::sort(out.parts.begin(), out.parts.end());
    if (out.parts.empty() || out.parts.size() > kMostExposures) fields.fail(fmt::format("a population has 1 to {} parts", kMostExposures), fields.place());
    if (population_id(out) != out.id) fields.fail("the population is not what its id says", fields.place(), "it was altered; take the pack from its source again");
    return out;
  }

  Lesson lesson(Fields& fields) {
    Lesson out;
    out.id = id(fields);
    out.version = version(fields);
    out.withdrawn = fields.boolean("withdrawn").value_or(false);
    out.machine = text(fields, "machine", true);
    out.revision = text(fields, "revision", false);
    out.profile = id(fields, "profile");
    out.population = id(fields, "population");
    out.ending = id(fields, "ending");
    Micro sum = 0;
    for_each_table(fields, "blames", errors_, [&](Fields& item) {
      Blame blame{strand(item, out.machine), text(item, "mode", false), micro(item, "count", 1)};
      sum += blame.count;
      out.blames.push_back(std::move(blame));
    });
    for (const std::string& one : fields.texts("seen").value_or(std::vector<std::string>{})) out.seen.push_back(one);
    out.source = text(fields, "source", false);
    out.licence = text(fields, "licence", false);
    out.repair = text(fields, "repair", false, kLongestRepair);
    if (out.blames.size() > kMostBlames || out.seen.size() > kMostSeen) fields.fail(fmt::format("a lesson has at most {} blames and {} symptoms", kMostBlames, kMostSeen), fields.place());
    for (const std::string& one : out.seen)
      if (one.empty() || one.size() > kLongestText || utf8_length(one) != one.size()) fields.fail("a symptom must be plain text", fields.place());
    if (sum > 8 * kOne) fields.fail("one repair has at most eight culprits", fields.place());
    if (out.withdrawn && !out.blames.empty()) fields.fail("a withdrawn lesson blames nothing", fields.place());
    return out;
  }

 private:
  Micro micro(Fields& fields, const char* key, double most) { return static_cast<Micro>(std::llround(number_within(fields, key, 0, most) * kOne)); }
  Errors& errors_;
};

class PackReader {
 public:
  PackReader(const Knowledge& knowledge, const std::map<std::string, Population>& known, Errors& errors) : known_(known), errors_(errors) {
    for (const RateRow& row : knowledge.entries().rates) classes_.push_back(row.rate_class);
    for (const Parent& row : knowledge.entries().parents) classes_.push_back(row.rate_class);
    for (const ModeShares& row : knowledge.entries().modes) classes_.push_back(row.rate_class);
    for (const char* own : {kOutsideClass, kJointClass, "solder bridge", "part"}) classes_.emplace_back(own);
    for (const Profile& profile : knowledge.entries().profiles) profiles_.push_back(profile.id);
  }

  LessonPack read(const Node& document) {
    LessonPack out;
    Fields top(document, errors_);
    Reader reader(errors_);
    top.need_format(1);
    out.id = reader.id(top);
    out.title = reader.text(top, "title", true);
    out.version = reader.version(top);
    out.licence = reader.text(top, "licence", true);
    for_each_table(top, "population", errors_, [&](Fields& fields) {
      Population one = reader.population(fields);
      for (const Exposure& part : one.parts) known_class(part.strand, fields);
      out.experience.populations.insert_or_assign(one.id, std::move(one));
    });
    for_each_table(top, "lesson", errors_, [&](Fields& fields) {
      Lesson one = reader.lesson(fields);
      check(one, out, fields);
      if (out.experience.lessons.contains(one.id)) fields.fail("the lesson " + in_quotes(one.id) + " is given twice", fields.place());
      out.experience = learn(std::move(out.experience), one);
    });
    top.finish();
    return out;
  }

 private:
  void known_class(const Strand& strand, Fields& fields) {
    if (std::find(classes_.begin(), classes_.end(), strand.rate_class) != classes_.end()) return;
    const auto near = did_you_mean(strand.rate_class, classes_);
    fields.fail("there is no class " + in_quotes(strand.rate_class), fields.place(), near ? "did you mean " + in_quotes(*near) + "?" : "classes are those of knowledge/rates.toml");
  }
  void check(const Lesson& lesson, const LessonPack& pack, Fields& fields) {
    for (const Blame& blame : lesson.blames) known_class(blame.strand, fields);
    if (std::find(profiles_.begin(), profiles_.end(), lesson.profile) == profiles_.end()) fields.fail("there is no profile " + in_quotes(lesson.profile), fields.place(), join(profiles_, ", "));
    if (lesson.ending != "proven" && lesson.ending != "working-unproven" && lesson.ending != "partly") fields.fail(in_quotes(lesson.ending) + " is no ending that teaches", fields.place(), "proven, working-unproven, partly");
    const auto in_pack = pack.experience.populations.find(lesson.population);
    const auto at_home = known_.find(lesson.population);
    const Population* population = in_pack != pack.experience.populations.end() ? &in_pack->second : at_home != known_.end() ? &at_home->second : nullptr;
    if (!population) return fields.fail("no population is called " + in_quotes(lesson.population), fields.place(), "a [[population]] with this id must stand above the lesson");
    if (population->machine != lesson.machine || population->profile != lesson.profile) fields.fail("the lesson is of another machine or profile than its population", fields.place());
  }

  const std::map<std::string, Population>& known_;
  Errors& errors_;
  std::vector<std::string> classes_, profiles_;
};

}  // namespace

std::string write_lesson(const Lesson& lesson) {
  std::string out = "[[lesson]]\n";
  add_text(out, "id", lesson.id);
  out += fmt::format("version = {}\n", lesson.version);
  if (lesson.withdrawn) out += "withdrawn = true\n";
  add_text(out, "machine", lesson.machine);
  add_text(out, "revision", lesson.revision);
  add_text(out, "profile", lesson.profile);
  add_text(out, "population", lesson.population);
  add_text(out, "ending", lesson.ending);
  out += "blames = [";
  for (const Blame& blame : lesson.blames) {
    const std::string mode = blame.mode.empty() ? "" : ", mode = " + toml_quoted(blame.mode);
    out += fmt::format("\n  {{ {}{}, count = {} }},", strand_text(blame.strand), mode, count_text(blame.count));
  }
  out += lesson.blames.empty() ? "]\n" : "\n]\n";
  if (!lesson.seen.empty()) {
    std::vector<std::string> quoted;
    for (const std::string& one : lesson.seen) quoted.push_back(toml_quoted(one));
    out += "seen = " + board::toml_list(quoted) + "\n";
  }
  add_text(out, "source", lesson.source);
  add_text(out, "licence", lesson.licence);
  add_text(out, "repair", lesson.repair);
  return out;
}

std::string write_lesson_pack(const LessonPack& pack) {
  std::string out = fmt::format("format = 1\nid = {}\ntitle = {}\nversion = {}\nlicence = {}\n", toml_quoted(pack.id), toml_quoted(pack.title), pack.version, toml_quoted(pack.licence));
  std::set<std::string> named;
  for (const auto& [id, held] : pack.experience.lessons)
    for (const Lesson& lesson : held.variants) named.insert(lesson.population);
  for (const auto& [id, population] : pack.experience.populations)
    if (named.contains(id)) out += "\n" + write_population(population);
  // A pack names each lesson once; of a conflict the one that comes first.
  for (const auto& [id, held] : pack.experience.lessons) out += "\n" + write_lesson(*held.variants.begin());
  return out;
}

Result<LessonPack> read_lesson_pack(std::string_view text, const std::string& file, const Knowledge& knowledge, const std::map<std::string, Population>& known) {
  const auto document = parse_document(text, file);
  if (!document) return document.error();
  Errors errors;
  LessonPack out = PackReader(knowledge, known, errors).read(*document);
  if (!errors.empty()) return errors.joined();
  return out;
}

Result<Lesson> read_lesson(std::string_view text) {
  const auto document = parse_document(text, "lesson");
  if (!document) return document.error();
  Errors errors;
  std::optional<Lesson> out;
  Fields top(*document, errors);
  for_each_table(top, "lesson", errors, [&](Fields& fields) { out = Reader(errors).lesson(fields); });
  if (!out) return bad_input("there is no lesson in it");
  if (!errors.empty()) return errors.joined();
  return *out;
}

}  // namespace halfsplit::knowledge
