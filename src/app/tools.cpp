#include "app/tools.h"

#include <algorithm>

#include "base/text.h"

namespace halfsplit::app {
namespace {

using observe::Kind;

struct Tool { const char* word; std::vector<Kind> kinds; };
const std::vector<Tool>& tools() {
  static const std::vector<Tool> all = {{"meter", {Kind::volts_dc, Kind::ohms, Kind::continuity, Kind::diode, Kind::volts_ac}},
                                        {"probe", {Kind::probe}},
                                        {"scope", {Kind::probe, Kind::triggered, Kind::frequency, Kind::swing, Kind::ripple, Kind::duration}},
                                        {"tester", {Kind::part_test}},
                                        {"programmer", {Kind::dump}},
                                        {"memory-test", {Kind::memory}},
                                        {"spares", {Kind::piggyback}},
                                        {kQualified, {}}};
  return all;
}

std::vector<std::string> names() {
  std::vector<std::string> out;
  for (const Tool& tool : tools()) out.emplace_back(tool.word);
  return out;
}

}  // namespace

Result<std::vector<std::string>> read_tools(std::string_view text) {
  std::string plain = lower(text);
  std::replace(plain.begin(), plain.end(), ',', ' ');
  std::vector<bool> named(tools().size(), false);
  for (const std::string_view word : words(plain)) {
    const auto found = std::find_if(tools().begin(), tools().end(), [&](const Tool& tool) { return word == tool.word; });
    if (found == tools().end()) {
      const auto near = did_you_mean(word, names());
      return usage("no instrument is called " + in_quotes(word), near ? "did you mean " + *near + "?" : "known: " + join(names(), ", "));
    }
    named[static_cast<std::size_t>(found - tools().begin())] = true;
  }
  std::vector<std::string> out;
  for (std::size_t i = 0; i < named.size(); ++i)
    if (named[i]) out.emplace_back(tools()[i].word);
  if (out.empty()) return usage("no instrument named", "known: " + join(names(), ", "));
  return out;
}

std::vector<Kind> kinds_of(const std::vector<std::string>& told) {
  const auto has = [&](const char* word) { return std::find(told.begin(), told.end(), word) != told.end(); };
  const bool none = std::all_of(told.begin(), told.end(), [](const std::string& word) { return word == kQualified; });
  std::vector<Kind> out = {Kind::function, Kind::look, Kind::touch};
  for (const Tool& tool : tools()) {
    const bool usual = none && (std::string_view(tool.word) == "meter" || std::string_view(tool.word) == "probe");
    if (has(tool.word) || usual) out.insert(out.end(), tool.kinds.begin(), tool.kinds.end());
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

bool is_qualified(const std::vector<std::string>& told) { return std::find(told.begin(), told.end(), kQualified) != told.end(); }

}  // namespace halfsplit::app
