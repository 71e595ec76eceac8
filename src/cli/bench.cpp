#include "cli/bench.h"

#include <istream>
#include <ostream>

#include "base/text.h"

namespace halfsplit::cli {

std::vector<std::string> words_of(std::string_view line) {
  std::vector<std::string> out;
  for (line = trim(line); !line.empty(); line = trim(line)) {
    const char first = line.front();
    const std::size_t closing = first == '"' || first == '\'' ? line.find(first, 1) : std::string_view::npos;
    const bool whole = closing != std::string_view::npos && (closing + 1 == line.size() || line[closing + 1] == ' ' || line[closing + 1] == '\t');
    const std::size_t end = whole ? closing + 1 : std::min(line.find_first_of(" \t"), line.size());
    out.emplace_back(whole ? line.substr(1, closing - 1) : line.substr(0, end));
    line.remove_prefix(end);
  }
  return out;
}

int bench(const std::vector<std::string>& before, const Streams& streams, const app::Outside& outside) {
  int code = 0;
  std::string line;
  for (;;) {
    if (streams.asks) streams.out << "> " << std::flush;
    if (!std::getline(*streams.in, line)) break;
    std::vector<std::string> words = words_of(line);
    if (!words.empty() && words.front() == "halfsplit") words.erase(words.begin());
    if (words.empty() || starts_with(words.front(), "#")) continue;
    const std::string verb = lower(words.front());
    if (words.size() == 1 && (verb == "quit" || verb == "exit" || verb == "q")) break;
    if (verb == "bench") {
      streams.err << "This is the prompt already; quit ends it.\n";
      continue;
    }
    std::vector<std::string> arguments = before;
    arguments.insert(arguments.end(), words.begin(), words.end());
    code = run(arguments, streams, outside);
  }
  if (streams.asks) streams.out << '\n';
  return code;
}

}  // namespace halfsplit::cli
