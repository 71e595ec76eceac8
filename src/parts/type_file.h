// parts/type_file.h - one part file as read: a finished type, or a template whose pins are made for the number or list needed.
//
// Errors:   all of one file, up to 20, each with file:line:column of the very character.
// Start at: read_type_file(), make_numbered() and renumber() in parts/numbered.h.
#pragma once
#include <string>
#include <utility>
#include <vector>

#include "base/document.h"
#include "base/result.h"
#include "parts/library.h"
#include "parts/template_table.h"

namespace halfsplit::parts {

/// A block of a numbered type: its two ends are chosen by selector words ("first", "rest", "odd", "lower"...).
struct NumberedBlock {
  Template kind = Template::contact;
  std::string a, b;
  std::vector<std::pair<std::string, std::string>> words;
};

struct TypeFile {
  PartType type;
  std::size_t least = 0, most = 0;  ///< numbered: how many pins it may have
  bool even = false;                ///< numbered: only even numbers of pins
  std::vector<NumberedBlock> blocks;
};

/// What the words of a part file are checked against.
struct Vocabulary {
  std::vector<Family> families;
  std::vector<ClassModes> classes;
  std::vector<std::string> function_groups;
};

Result<TypeFile> read_type_file(const halfsplit::Node& document, const Vocabulary& vocabulary);

/// Reads the behaviour blocks of a file into `file`; pins must be there already. Used by read_type_file().
void read_blocks(Fields& fields, TypeFile& file, Errors& errors);
/// Reads pins = [...] (not "numbered").
std::vector<Pin> read_pins(const halfsplit::Node& list, Errors& errors);

/// ", did you mean X?" style hint, or empty.
std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace halfsplit::parts
