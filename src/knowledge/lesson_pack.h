// knowledge/lesson_pack.h - lessons as text that workshops hand to each other, and back. Data only: nothing in it is run, looked up or opened.
//
// Shape:    a document of format 1 with id, title, version, licence, [[population]] and [[lesson]]; docs/knowledge-format.md.
// Errors:   file:line:column, up to 20: wrong kinds, counts out of 0..1, ids that don't fit, populations that are not what their id says, classes that
//           the knowledge doesn't have, texts with control characters or over 200 bytes; a pack with one error is refused whole.
// Start at: read_lesson_pack(), write_lesson_pack().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "knowledge/experience.h"
#include "knowledge/knowledge.h"

namespace halfsplit::knowledge {

struct LessonPack {
  std::string id, title, licence;
  std::int64_t version = 1;
  Experience experience;
};

/// `known` populations need not be in the text.
Result<LessonPack> read_lesson_pack(std::string_view text, const std::string& file, const Knowledge& knowledge, const std::map<std::string, Population>& known = {});
/// Sorted by id: the same lessons give the same bytes. Only populations that a lesson names.
std::string write_lesson_pack(const LessonPack& pack);

/// One lesson as its own text, for the workshop; read back without a check against the knowledge.
std::string write_lesson(const Lesson& lesson);
Result<Lesson> read_lesson(std::string_view text);

}  // namespace halfsplit::knowledge
