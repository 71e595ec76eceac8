#include "cli/way_in.h"

#include <istream>
#include <ostream>

#include "base/text.h"

namespace halfsplit::cli {
namespace {

std::optional<std::string> line_from(std::istream& in, std::ostream& out, bool prompts) {
  if (prompts) out << "> " << std::flush;
  std::string line;
  if (!std::getline(in, line)) {
    if (prompts) out << '\n';
    return std::nullopt;
  }
  return std::string(trim(line));
}

}  // namespace

std::optional<FirstAnswers> ask_way_in(std::istream& in, std::ostream& out, const app::Places& places, const std::vector<std::string>& machines, bool prompts, const std::function<void(const Error&)>& tell) {
  FirstAnswers answers;
  out << "What is it? A machine at hand" << (machines.empty() ? "" : " (" + join(machines, ", ") + ")") << ",\nor the numbers on its chips as far as you can read them: z80 2x2764 8x4164 7805\n";
  for (bool known = false; !known;) {
    const auto line = line_from(in, out, prompts);
    if (!line) return std::nullopt;
    if (line->empty()) continue;
    auto what = app::what_it_is(places, *line);
    if (!what) {
      tell(what.error());
      continue;
    }
    answers.what = std::move(what).value();
    known = true;
  }
  out << "What does it do, and what not? As you would say it: no picture but it beeps (empty: not tried yet)\n";
  answers.symptoms = line_from(in, out, prompts).value_or("");
  out << "Which instruments are at hand? meter, probe, scope, tester, programmer, spares (empty: meter and probe)\n";
  for (bool known = false; !known;) {
    auto tools = app::instruments(line_from(in, out, prompts).value_or(""));
    if (!tools) {
      tell(tools.error());
      continue;
    }
    answers.tools = std::move(tools).value();
    known = true;
  }
  return answers;
}

}  // namespace halfsplit::cli
