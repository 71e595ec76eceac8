// report/imported.h - what came out of reading the files of another program, and what was written for one.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/style.h"

namespace halfsplit::report {

struct DeviationLine { std::string kind, title; std::size_t count = 0; std::string first; };
struct QuestionLine { std::string id, text; std::vector<std::string> answers; };  ///< the first answer is taken until another is given
struct Imported {
  std::string id, folder;
  std::size_t parts = 0, netted_parts = 0, typed_parts = 0, pins = 0, typed_pins = 0, nets = 0, functions = 0;
  std::vector<DeviationLine> deviations;
  std::vector<QuestionLine> questions;
  std::vector<std::string> untyped;  ///< parts with guessed roles
  std::vector<std::string> notes;
  bool without_bom = false;
};
void print(std::ostream& out, const Imported& imported, const Style& style);
Json json_of(const Imported& imported);

struct Exported { std::vector<std::string> files; std::size_t parts = 0, nets = 0; };
void print(std::ostream& out, const Exported& exported, const Style& style);
Json json_of(const Exported& exported);

}  // namespace halfsplit::report
