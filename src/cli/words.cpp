#include "cli/words.h"

#include <algorithm>
#include <optional>

#include "base/text.h"

namespace halfsplit::cli {
namespace {

using Words = std::vector<std::string>;

bool one_of(const std::string& word, const Words& list) { return std::find(list.begin(), list.end(), word) != list.end(); }

bool takes_value(const std::string& option) { return one_of(option, {"--workshop", "--data", "--color", "--about", "--on", "--done", "--undone"}); }

/// An option by its looks: "--word" or -h, -V. "-5.06V" is none.
bool is_option(const std::string& word) {
  if (word.size() > 2 && word[0] == '-' && word[1] == '-') return (word[2] >= 'a' && word[2] <= 'z');
  return word == "-h" || word == "-V";
}

/// Index of the command, or size() where there is none.
std::size_t command_at(const Words& arguments) {
  std::size_t i = 0;
  while (i < arguments.size() && is_option(arguments[i])) i += takes_value(arguments[i]) ? 2 : 1;
  return std::min(i, arguments.size());
}

/// Commands whose words are a line as people type it.
bool takes_line(const Words& arguments, std::size_t at) {
  if (arguments[at] == "job") return at + 1 < arguments.size() && (arguments[at + 1] == "note" || arguments[at + 1] == "find");
  return one_of(arguments[at], {"symptom", "state", "read", "swap", "repair", "close", "tools", "answer", "amend", "want", "leave", "cannot"});
}

Error unknown_command(const std::string& word) {
  const auto near = did_you_mean(word, command_names());
  if (near) return usage("there is no command " + in_quotes(word), "did you mean: halfsplit " + *near);
  const bool point = word.find('.') != std::string::npos && std::any_of(word.begin(), word.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (point) return usage("there is no command " + in_quotes(word), "to enter a reading: halfsplit read " + word + " 4.31V");
  return usage("there is no command " + in_quotes(word), "commands: " + join(command_names(), ", "));
}

/// A word behind a command that has commands of its own; nothing when it is right or missing.
std::optional<Error> unknown_within(const Words& arguments, std::size_t at) {
  static const Words of_job = {"open", "list", "show", "use", "note", "find", "case"}, of_board = {"export"}, of_knowledge = {"list", "add", "export", "merge", "replay"};
  if (arguments[at] != "job" && arguments[at] != "board" && arguments[at] != "knowledge") return std::nullopt;
  const Words& names = arguments[at] == "job" ? of_job : arguments[at] == "board" ? of_board : of_knowledge;
  std::size_t next = at + 1;
  while (next < arguments.size() && is_option(arguments[next])) next += takes_value(arguments[next]) ? 2 : 1;
  if (next >= arguments.size() || one_of(arguments[next], names)) return std::nullopt;
  const auto near = did_you_mean(arguments[next], names);
  const std::string hint = near ? "did you mean: halfsplit " + arguments[at] + " " + *near : "there are: " + join(names, ", ");
  return usage(arguments[at] + " has no command " + in_quotes(arguments[next]), hint);
}

/// Options first, then "--", then the words.
Words words_last(const Words& arguments, std::size_t from) {
  Words options(arguments.begin(), arguments.begin() + static_cast<std::ptrdiff_t>(from)), line;
  for (std::size_t i = from; i < arguments.size(); ++i) {
    if (arguments[i] == "--") {
      line.insert(line.end(), arguments.begin() + static_cast<std::ptrdiff_t>(i) + 1, arguments.end());
      break;
    }
    if (!is_option(arguments[i])) {
      line.push_back(arguments[i]);
      continue;
    }
    options.push_back(arguments[i]);
    if (takes_value(arguments[i]) && i + 1 < arguments.size()) options.push_back(arguments[++i]);
  }
  if (line.empty()) return options;
  options.push_back("--");
  options.insert(options.end(), line.begin(), line.end());
  return options;
}

}  // namespace

const std::vector<std::string>& command_names() {
  static const Words names = {"boards", "check", "expect", "import", "sketch", "board", "job", "symptom", "state", "read", "swap", "repair", "undo", "suspects", "why", "next", "prove", "report", "tools", "answer", "amend", "want", "leave", "cannot", "close", "bench", "knowledge", "help"};
  return names;
}

bool wants_json(const std::vector<std::string>& arguments) {
  const auto end = std::find(arguments.begin(), arguments.end(), "--");
  return std::find(arguments.begin(), end, "--json") != end;
}

Result<std::vector<std::string>> sorted_arguments(const std::vector<std::string>& arguments) {
  const std::size_t at = command_at(arguments);
  if (at == arguments.size() || arguments[at] == "--") return arguments;
  if (!one_of(arguments[at], command_names())) return unknown_command(arguments[at]);
  if (arguments[at] == "help") {
    Words out(arguments.begin() + static_cast<std::ptrdiff_t>(at) + 1, arguments.end());
    if (!out.empty() && !one_of(out.front(), command_names())) return unknown_command(out.front());
    out.push_back("--help");
    return out;
  }
  if (const auto error = unknown_within(arguments, at)) return *error;
  if (takes_line(arguments, at)) return words_last(arguments, arguments[at] == "job" ? at + 2 : at + 1);
  return arguments;
}

}  // namespace halfsplit::cli
