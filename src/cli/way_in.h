// cli/way_in.h - the three questions of a first visit, asked on the terminal or answered from a pipe.
//
// Start at: ask_way_in().
#pragma once
#include <functional>
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "app/way_in.h"

namespace halfsplit::cli {

struct FirstAnswers {
  app::WhatItIs what;
  std::string symptoms;             ///< may be empty
  std::vector<std::string> tools;
};
/// Asks until each answer can be used; nothing when the input ends before it is known what the machine is. `machines`: named in the question.
/// `prompts`: someone sits at a terminal. `tell`: how an answer that can't be used is answered.
std::optional<FirstAnswers> ask_way_in(std::istream& in, std::ostream& out, const app::Places& places, const std::vector<std::string>& machines, bool prompts, const std::function<void(const Error&)>& tell);

}  // namespace halfsplit::cli
