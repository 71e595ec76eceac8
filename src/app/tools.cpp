#include "app/tools.h"

#include <algorithm>
#include <utility>

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

/// At hand where nothing is told.
bool is_usual(const Tool& tool) { return std::string_view(tool.word) == "meter" || std::string_view(tool.word) == "probe"; }

std::vector<std::string> names() {
  std::vector<std::string> out;
  for (const Tool& tool : tools()) out.emplace_back(tool.word);
  return out;
}

}  // namespace

Result<std::vector<std::string>> read_tools(std::string_view text) {
  std::string plain = lower(text);
  std::replace(plain.begin(), plain.end(), ',', ' ');
  std::vector<bool> named(tools().size(), false), without(tools().size(), false);
  bool no = false;
  for (std::string_view word : words(plain)) {
    if (word == "and" || word == "but") continue;
    if (word == "no" || word == "without") {
      no = true;
      continue;
    }
    const bool negated = std::exchange(no, false) || starts_with(word, "no-");
    if (starts_with(word, "no-")) word.remove_prefix(3);
    const auto found = std::find_if(tools().begin(), tools().end(), [&](const Tool& tool) { return word == tool.word; });
    if (found == tools().end()) {
      const auto near = did_you_mean(word, names());
      return usage("no instrument is called " + in_quotes(word), near ? "did you mean " + *near + "?" : "known: " + join(names(), ", "));
    }
    (negated ? without : named)[static_cast<std::size_t>(found - tools().begin())] = true;
  }
  const bool none = std::find(named.begin(), named.end(), true) == named.end();
  const bool taken_away = std::find(without.begin(), without.end(), true) != without.end();
  std::vector<std::string> out;
  for (std::size_t i = 0; i < named.size(); ++i)
    if ((named[i] || (none && taken_away && is_usual(tools()[i]))) && !without[i]) out.emplace_back(tools()[i].word);
  if (out.empty() && !taken_away) return usage("no instrument named", "known: " + join(names(), ", "));
  return out;
}

std::vector<Kind> kinds_of(const std::vector<std::string>& told) {
  const auto read = read_tools(join(told, " "));
  const std::vector<std::string> known = read ? *read : std::vector<std::string>();
  const auto has = [&](const char* word) { return std::find(known.begin(), known.end(), word) != known.end(); };
  const bool none = !read || std::all_of(told.begin(), told.end(), [](const std::string& word) { return word == kQualified; });
  std::vector<Kind> out = {Kind::function, Kind::look, Kind::touch};
  for (const Tool& tool : tools())
    if (has(tool.word) || (none && is_usual(tool))) out.insert(out.end(), tool.kinds.begin(), tool.kinds.end());
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

std::vector<Kind> kinds_of_tool(std::string_view word) {
  for (const Tool& tool : tools())
    if (word == tool.word) return tool.kinds;
  return {};
}

bool is_qualified(const std::vector<std::string>& told) { return std::find(told.begin(), told.end(), kQualified) != told.end(); }

}  // namespace halfsplit::app
