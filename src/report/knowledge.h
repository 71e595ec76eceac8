// report/knowledge.h - what is known beyond the drawing: packs, lessons, rates that were learned; and what an export, an addition or a merge did.
#pragma once
#include <cstdint>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/replay.h"

namespace halfsplit::report {

struct PackLine { std::string id, title, licence, when; std::int64_t version = 1; std::size_t lessons = 0; };
/// A strand whose rate was learned to differ.
struct LearnedLine { std::string profile, machine, place, kind; double factor = 1, counted = 0; };
/// A mode or a part that no library knows, as words.
struct WordsLine { std::string kind, words; double counted = 0; };
/// One text of a lesson of which there are several.
struct Variant { std::string machine, ending, blames; };
struct ConflictLine { std::string id; std::int64_t version = 1; std::vector<Variant> variants; };

struct KnowledgeList {
  std::vector<PackLine> shipped, merged;
  std::size_t own = 0, others = 0, withdrawn = 0;  ///< lessons
  std::vector<LearnedLine> learned;                ///< furthest from the packs first
  std::vector<WordsLine> words;
  std::vector<ConflictLine> conflicts;
};
void print(std::ostream& out, const KnowledgeList& list, const Style& style);
Json json_of(const KnowledgeList& list);

struct ExportedLessons {
  std::string id, file;  ///< file empty: the text itself is the answer
  std::string text;
  std::size_t lessons = 0;
};
void print(std::ostream& out, const ExportedLessons& exported, const Style& style);
Json json_of(const ExportedLessons& exported);

struct Merged {
  std::string file, id, title, licence;
  std::int64_t version = 1;
  std::size_t fresh = 0, newer = 0, known = 0, older = 0;
  std::vector<ConflictLine> conflicts;
  std::optional<Replay> replay;   ///< where there are past jobs and something changes
  bool written = false;
};
void print(std::ostream& out, const Merged& merged, const Style& style);
Json json_of(const Merged& merged);

struct Added {
  struct Line { std::string file, machine, blames; bool known = false, teaches = true; };
  std::vector<Line> cases;
};
void print(std::ostream& out, const Added& added, const Style& style);
Json json_of(const Added& added);

}  // namespace halfsplit::report
