// app/swapping.h - what a swap means for the job: the parts in their new places, and what was wrong before read again with them there.
//
// Idea:     an outcome is no new kind of evidence: "unchanged" is every complaint seen again in the new arrangement, "cured" every one right there.
// Start at: swap_events().
#pragma once
#include <string>
#include <vector>

#include "app/sitting.h"
#include "observe/swap.h"

namespace halfsplit::app {

/// Events of the line. usage: an outcome where nothing wrong has been entered, or with the power off; "changed" where several things are wrong.
Result<std::vector<observe::Event>> swap_events(const observe::Swap& swap, const Sitting& sitting, const std::string& typed, const std::string& when);
/// What the answer says first: how it was done safely, what to type next, what "works there, fails here" means.
std::vector<std::string> swap_lines(const observe::Swap& swap, const Sitting& sitting);
/// How to type the way from one arrangement to another: "halfsplit swap U4 U7"; empty when parts sit alike.
std::string swap_words(const board::Setup& from, const board::Setup& to, const board::Machine& machine);
/// The arrangement once a part in this place has been replaced: what was tried there is now the machine's own.
board::Setup settled(const board::Setup& setup, board::PartId place);

}  // namespace halfsplit::app
