// parts/template_table.h - which keys each behaviour block of a part file takes: the one list behind reader and messages.
#pragma once
#include <span>
#include <string_view>

#include "parts/part_type.h"

namespace halfsplit::parts {

struct KeyRule {
  enum class Kind : std::uint8_t {
    pins,    ///< list of pins
    drivers, ///< list of pins that must be able to drive
    terms,   ///< list of expressions
    choice,  ///< one word of `choices`
    number,  ///< a number, kept as text
    truth    ///< true or false, kept as text
  };
  std::string_view name;
  Kind kind = Kind::pins;
  bool needed = false;
  bool single = false;               ///< pins, terms: exactly one
  std::string_view as_many_as = {};  ///< pins, terms: as many as that key has, or one (terms) or none
  std::string_view choices = {};     ///< words separated by blanks
};

struct TemplateRule {
  Template kind;
  std::span<const KeyRule> keys;
};

std::span<const TemplateRule> template_rules();
const TemplateRule& rule_of(Template kind);

}  // namespace halfsplit::parts
