#include "report/knowledge.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"
#include "report/slip.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

std::string times(double factor) { return fmt::format("x{:.2f}", factor); }

Json json_of_pack(const PackLine& pack) {
  Json out;
  out.set("id", pack.id).set("title", pack.title).set("version", pack.version);
  return out.set("licence", pack.licence).set("when", pack.when).set("lessons", pack.lessons);
}
Json json_of_conflicts(const std::vector<ConflictLine>& conflicts) {
  Json out = Json::array();
  for (const ConflictLine& conflict : conflicts) {
    Json one, variants = Json::array();
    for (const Variant& variant : conflict.variants) {
      Json text;
      variants.push(text.set("machine", variant.machine).set("ending", variant.ending).set("blames", variant.blames));
    }
    out.push(one.set("id", conflict.id).set("version", conflict.version).set("variants", std::move(variants)));
  }
  return out;
}

void print_conflicts(std::ostream& out, const std::vector<ConflictLine>& conflicts, const Style& style) {
  if (conflicts.empty()) return;
  out << "Two texts of one lesson, side by side; each counts for its share:\n";
  Table table;
  for (const ConflictLine& conflict : conflicts)
    for (std::size_t i = 0; i < conflict.variants.size(); ++i) {
      const Variant& one = conflict.variants[i];
      table.row({i == 0 ? conflict.id.substr(0, 8) : "", fmt::format("{})", static_cast<char>('a' + i % 26)), one.machine, one.ending, one.blames});
    }
  table.print(out, style, 2);
}

}  // namespace

void print(std::ostream& out, const KnowledgeList& list, const Style& style) {
  Table packs;
  for (const PackLine& pack : list.shipped) packs.row({pack.id, fmt::format("version {}", pack.version), pack.title});
  out << "Packs read:\n";
  packs.print(out, style, 2);
  if (!list.merged.empty()) out << "Packs merged:\n";
  Table merged;
  for (const PackLine& pack : list.merged) merged.row({pack.id, fmt::format("version {}", pack.version), counted(pack.lessons, "lesson"), pack.licence, pack.title});
  merged.print(out, style, 2);
  out << fmt::format("{} of this workshop, {} of others{}.\n", counted(list.own, "lesson"), list.others, list.withdrawn ? fmt::format(", {} withdrawn", list.withdrawn) : "");
  if (!list.learned.empty()) out << "Rates that differ most from the packs:\n";
  Table learned;
  for (const LearnedLine& one : list.learned) learned.row({times(one.factor), one.place, one.machine, fmt::format("{:.3g} counted", one.counted), one.kind});
  learned.print(out, style, 2);
  if (!list.words.empty()) out << "Told in words, in no library:\n";
  Table words;
  for (const WordsLine& one : list.words) words.row({fmt::format("{:.3g}", one.counted), one.kind, one.words});
  words.print(out, style, 2);
  print_conflicts(out, list.conflicts, style);
}

Json json_of(const KnowledgeList& list) {
  Json out, shipped = Json::array(), merged = Json::array(), learned = Json::array(), words = Json::array();
  for (const PackLine& pack : list.shipped) shipped.push(json_of_pack(pack));
  for (const PackLine& pack : list.merged) merged.push(json_of_pack(pack));
  for (const LearnedLine& line : list.learned) {
    Json one;
    one.set("profile", line.profile).set("machine", line.machine).set("place", line.place).set("kind", line.kind);
    learned.push(one.set("factor", line.factor).set("counted", line.counted));
  }
  for (const WordsLine& line : list.words) {
    Json one;
    words.push(one.set("kind", line.kind).set("words", line.words).set("counted", line.counted));
  }
  out.set("schema", "halfsplit/knowledge/1").set("packs", std::move(shipped)).set("merged", std::move(merged));
  out.set("own", list.own).set("others", list.others).set("withdrawn", list.withdrawn).set("learned", std::move(learned));
  return out.set("words", std::move(words)).set("conflicts", json_of_conflicts(list.conflicts));
}

void print(std::ostream& out, const ExportedLessons& exported, const Style&) {
  if (exported.file.empty()) out << exported.text;
  else out << fmt::format("{}: {}, without names, titles and remarks.\n", exported.file, counted(exported.lessons, "lesson"));
}

Json json_of(const ExportedLessons& exported) {
  Json out;
  out.set("schema", "halfsplit/export-lessons/1").set("id", exported.id).set("lessons", exported.lessons).set("file", exported.file.empty() ? Json() : Json(exported.file));
  return out.set("text", exported.file.empty() ? Json(exported.text) : Json());
}

void print(std::ostream& out, const Merged& merged, const Style& style) {
  out << fmt::format("{}, version {} ({}): {}\n", merged.id, merged.version, merged.licence, merged.title);
  out << fmt::format("{} new, {} newer, {} known already, {} older than known, {} in conflict.\n", merged.fresh, merged.newer, merged.known, merged.older, merged.conflicts.size());
  print_conflicts(out, merged.conflicts, style);
  if (merged.replay) print(out, *merged.replay, style);
}

Json json_of(const Merged& merged) {
  Json out;
  out.set("schema", "halfsplit/merge/1").set("file", merged.file).set("id", merged.id).set("title", merged.title).set("version", merged.version).set("licence", merged.licence);
  out.set("fresh", merged.fresh).set("newer", merged.newer).set("known", merged.known).set("older", merged.older).set("conflicts", json_of_conflicts(merged.conflicts));
  return out.set("replay", merged.replay ? json_of(*merged.replay) : Json()).set("written", merged.written);
}

void print(std::ostream& out, const Added& added, const Style& style) {
  Table table;
  for (const Added::Line& line : added.cases) table.row({line.file, line.machine, line.known ? "known already" : line.teaches ? line.blames : "teaches nothing: it has no ending that shows a cure"});
  table.print(out, style);
}

Json json_of(const Added& added) {
  Json out, cases = Json::array();
  for (const Added::Line& line : added.cases) {
    Json one;
    cases.push(one.set("file", line.file).set("machine", line.machine).set("blames", line.blames).set("known", line.known).set("teaches", line.teaches));
  }
  return out.set("schema", "halfsplit/added/1").set("cases", std::move(cases));
}

}  // namespace halfsplit::report
