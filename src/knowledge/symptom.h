// knowledge/symptom.h - what an owner says, in plain words, as observations of functions; and what was found behind such words.
//
// Idea:     a line is cut at "but", "and", commas; in each piece whole phrases of the packs win, else a word for the function and a word for its
//           state are sought, misspellings included; "no" and "not" turn a state round. What says nothing known is kept as "abnormal, kind unknown"
//           (Word::bad): no word is refused. Functions of the machine are found by their own names first.
// Errors:   none; a piece that names no function asks for one (Heard::ask).
// Start at: match_symptoms(), abnormal(), links_of().
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "knowledge/knowledge.h"
#include "observe/observation.h"

namespace halfsplit::knowledge {

/// One piece of what was said.
struct Heard {
  std::string wording;                              ///< the piece as typed
  std::string understood;                           ///< "picture on the display: dead"; for the user
  std::string symptom;                              ///< id of the phrase that matched; may be empty
  std::vector<observe::Observation> observations;   ///< `typed` is the wording; empty while `ask` is not
  std::vector<board::FunctionId> ask;               ///< the function was not told: these come into question, likeliest first
  observe::Value value;                             ///< its state, for when the function is answered
  std::string condition;                            ///< "when warm"
  observe::Share share;
  bool kind_known = true;                           ///< false: abnormal in a way no word told
};

/// All pieces of a line. Same words, same answer; the machine may have no functions, then the machine as a whole is observed.
std::vector<Heard> match_symptoms(const Knowledge& knowledge, std::string_view text, const board::Machine& machine, const board::Setup& state = {});

/// The observation once the function is known: the state that was heard, or "abnormal, kind unknown" with the wording kept.
observe::Observation about_function(const Heard& heard, board::FunctionId function, const board::Setup& state = {});

/// Share of an area and kind of cause among what was found behind a symptom, smoothed by the base: (n + w s) / (N + w). Sum over all links of the base: 1.
struct LinkShare { std::string area, cause; double share = 0, base = 0; };
/// Largest first; an unknown symptom has the shares of the base.
std::vector<LinkShare> links_of(const Knowledge& knowledge, std::string_view symptom);

}  // namespace halfsplit::knowledge
