#include "app/way_in.h"

#include <algorithm>

#include "app/jobs.h"
#include "app/sketching.h"
#include "app/tools.h"
#include "base/text.h"
#include "netlist/chips.h"

namespace halfsplit::app {

Result<WhatItIs> what_it_is(const Places& places, const std::string& answer) {
  WhatItIs out;
  const auto folder = find_board(places, std::string(trim(answer)));
  if (folder) {
    out.folder = *folder;
    return out;
  }
  auto library = parts::Library::open(places.parts());
  if (!library) return library.error();
  std::string text = answer;
  std::replace(text.begin(), text.end(), ',', ' ');
  for (const std::string_view word : words(text)) {
    const auto known = netlist::read_chips({std::string(word)}, **library);
    (known ? out.chips : out.unknown).emplace_back(word);
  }
  if (!out.chips.empty()) return out;
  return usage(in_quotes(std::string(trim(answer))) + " is neither a machine at hand nor the number of a chip in the library", "as in: osprill-primer, or z80 2x2764 8x4164 7805");
}

Result<std::vector<std::string>> instruments(const std::string& answer) {
  std::string text = answer;
  std::replace(text.begin(), text.end(), ',', ' ');
  if (trim(text).empty()) return std::vector<std::string>();
  return read_tools(text);
}

Result<report::Resumed> begin(Desk& desk, const WhatItIs& what, const std::vector<std::string>& tools) {
  if (what.folder.empty()) {
    SketchWish wish;
    wish.chips = what.chips;
    wish.tools = tools;
    return sketch(desk, wish);
  }
  NewJob job;
  job.machine = what.folder;
  job.tools = tools;
  return open_job(desk, job);
}

}  // namespace halfsplit::app
