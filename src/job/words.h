// job/words.h - stable words of the enumerations that the workshop and cases hold; display names may change, these may not.
//
// Start at: kind_word(), kind_named().
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "board/setup.h"
#include "observe/observation.h"

namespace halfsplit::job {

const char* word_of(observe::Kind kind);             ///< "volts-dc"
const char* word_of(observe::Word word);             ///< "no-beep"
const char* word_of(observe::Unit unit);             ///< "volts"
const char* word_of(observe::Side side);             ///< "far-end"
const char* word_of(observe::Point::At at);          ///< "leg"
const char* word_of(observe::Relative::How how);     ///< "weaker"
const char* word_of(observe::Repair::Act act);       ///< "replaced"
const char* word_of(board::Action::Kind kind);       ///< "force-low"

/// The enumerator of a word, nothing for others.
template <class Enum>
std::optional<Enum> named(std::string_view word);
template <class Enum>
std::vector<std::string> all_words();

}  // namespace halfsplit::job
