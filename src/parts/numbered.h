// parts/numbered.h - types whose pins depend on the place they sit in: "header/16", "dsub/0..9", "npn/E,B,C".
//
// Shape:    BASE/COUNT, BASE/LABEL,LABEL,... or BASE/FROM..TO; a lone label that is a number ends in a comma ("test-point/5,").
//           Behind a numbered type the labels are pin numbers. Behind a type with pins of its own they are pin names: the first is pin 1;
//           NUMBER=NAME names any pin number ("diode/A=A,C=K").
// Errors:   bad_input without a place: the caller knows where the id was written.
// Start at: split_type_id(), make_numbered(), renumber().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "parts/type_file.h"

namespace halfsplit::parts {

/// Selector words: first last rest all-but-last odd even lower upper upper-back.
bool is_selector(std::string_view word);
std::string selector_words();

struct TypeId {
  std::string base;
  bool plain = true;                 ///< nothing behind the base
  std::vector<std::string> labels;   ///< decoded; a count gives "1", "2", ...
};
Result<TypeId> split_type_id(std::string_view id);
/// The shortest id that split_type_id() reads back to the same labels.
std::string join_type_id(std::string_view base, const std::vector<std::string>& labels);

/// Makes the pins and blocks of a numbered type for these pin numbers, in this order.
Result<PartType> make_numbered(const TypeFile& file, const std::vector<std::string>& numbers);
/// A type with pins of its own whose pin 1, 2, ... are the pins of these names ("NUMBER=NAME": that pin); "nc" leaves a number without meaning.
Result<PartType> renumber(const PartType& type, const std::vector<std::string>& labels);

}  // namespace halfsplit::parts
