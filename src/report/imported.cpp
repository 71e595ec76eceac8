#include "report/imported.h"

#include <fmt/core.h>

#include <algorithm>
#include <ostream>

#include "base/text.h"
#include "report/slip.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

std::string share(std::size_t part, std::size_t whole) { return whole == 0 ? "none" : fmt::format("{:.1f} %", 100.0 * static_cast<double>(part) / static_cast<double>(whole)); }

}  // namespace

void print(std::ostream& out, const Imported& it, const Style& style) {
  constexpr std::size_t kQuestionsShown = 10;
  out << inked(it.id, Ink::strong, style) << fmt::format(": {}, {}, {}, {} proposed\n", counted(it.netted_parts, "part") + " on nets", counted(it.pins, "pin"), counted(it.nets, "net"), counted(it.functions, "function"));
  paragraph(out, fmt::format("The library knows {} of the parts and {} of the pins.", share(it.typed_parts, it.netted_parts), share(it.typed_pins, it.pins)), style);
  if (it.without_bom) paragraph(out, "Without a parts list no values are known: give one with --bom FILE.", style);
  if (!it.untyped.empty()) paragraph(out, "Taken as custom chips, the roles of their pins guessed from net names: " + join(it.untyped, ", ") + ".", style);
  for (const std::string& note : it.notes) paragraph(out, note, style);
  if (!it.deviations.empty()) {
    out << "The file differs from the letter of its format; it was read all the same:\n";
    Table table;
    for (const DeviationLine& line : it.deviations) table.row({fmt::format("{:>6}", line.count), line.title + (line.first.empty() ? "" : ", first at " + line.first)});
    table.print(out, style, 2);
  }
  if (!it.questions.empty()) out << "Open questions, each with what is taken until you say otherwise (halfsplit answer NAME WORD):\n";
  Table questions;
  for (std::size_t i = 0; i < std::min(it.questions.size(), kQuestionsShown); ++i) questions.row({it.questions[i].id, join(it.questions[i].answers, " or "), it.questions[i].text});
  questions.print(out, style, 2);
  if (it.questions.size() > kQuestionsShown) out << fmt::format("  and {} more in machine.toml\n", it.questions.size() - kQuestionsShown);
  out << "Written to " << it.folder << ". Next: halfsplit check " << it.folder << '\n';
}

Json json_of(const Imported& it) {
  Json out, deviations = Json::array(), questions = Json::array();
  for (const DeviationLine& line : it.deviations) {
    Json one;
    deviations.push(one.set("kind", line.kind).set("title", line.title).set("count", line.count).set("first", line.first));
  }
  for (const QuestionLine& line : it.questions) {
    Json one;
    questions.push(one.set("id", line.id).set("text", line.text).set("answers", json_of(line.answers)));
  }
  out.set("schema", "halfsplit/import/1").set("id", it.id).set("folder", it.folder).set("parts", it.parts).set("netted_parts", it.netted_parts).set("typed_parts", it.typed_parts);
  out.set("pins", it.pins).set("typed_pins", it.typed_pins).set("nets", it.nets).set("functions", it.functions).set("deviations", std::move(deviations));
  return out.set("questions", std::move(questions)).set("untyped", json_of(it.untyped)).set("notes", json_of(it.notes));
}

void print(std::ostream& out, const Exported& exported, const Style&) {
  out << counted(exported.parts, "part") << " and " << counted(exported.nets, "net") << " written: " << join(exported.files, ", ") << '\n';
}

Json json_of(const Exported& exported) {
  Json out;
  return out.set("schema", "halfsplit/export/1").set("files", json_of(exported.files)).set("parts", exported.parts).set("nets", exported.nets);
}

}  // namespace halfsplit::report
