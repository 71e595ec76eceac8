// app/advice.h - what the hand does: the steps of a repair, the words that change the bench state, the looks before the first power-on.
//
// Start at: add_repair_advice(), change_words(), before_first_power().
#pragma once
#include <string>
#include <vector>

#include "app/sitting.h"
#include "report/next.h"

namespace halfsplit::app {

/// Fills repair_steps and handling for the suspect: cheapest cure of its likely modes first, then the exchange, then what to try again.
void add_repair_advice(report::Next& next, const fault::Suspect& suspect, Sitting& sitting);

/// The words that `halfsplit state` takes to get from one set-up to another: "power-off U4-out power-on".
std::string change_words(const board::Setup& from, const board::Setup& to, const board::Machine& machine);

/// One sentence for a machine that has been neither measured nor seen to work; empty otherwise.
std::string before_first_power(const Sitting& sitting);

}  // namespace halfsplit::app
