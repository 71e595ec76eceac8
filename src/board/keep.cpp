#include "board/keep.h"

#include <algorithm>

#include "base/file.h"
#include "base/text.h"
#include "board/spec.h"
#include "board/toml_text.h"

namespace halfsplit::board {
namespace {

constexpr char kFile[] = "machine.toml", kKey[] = "amendments";

/// Offset of the top-level key, or of where top-level keys end.
std::size_t key_or_end(std::string_view text, bool& found) {
  std::size_t at = 0;
  found = false;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = trim(text.substr(at, end - at));
    if (starts_with(line, "[")) break;
    if (starts_with(line, kKey) && starts_with(trim(line.substr(sizeof kKey - 1)), "=")) {
      found = true;
      return at;
    }
    at = std::min(end + 1, text.size());
  }
  return at;
}

/// Offset of the bracket that closes the list whose key stands at `at`; strings and comments are passed over.
std::size_t closing_bracket(std::string_view text, std::size_t at) {
  std::size_t i = text.find('[', at);
  while (i < text.size() && text[i] != ']') {
    if (text[i] == '#') i = std::min(text.find('\n', i), text.size());
    if (i < text.size() && (text[i] == '"' || text[i] == '\'')) {
      const char quote = text[i];
      for (++i; i < text.size() && text[i] != quote; ++i)
        if (quote == '"' && text[i] == '\\') ++i;
    }
    if (i < text.size()) ++i;
  }
  return std::min(i, text.size());
}

}  // namespace

std::string with_amendment(std::string_view text, std::string_view line) {
  bool found = false;
  const std::size_t at = key_or_end(text, found);
  std::string out(text);
  if (!found) {
    const bool glued = at > 0 && text[at - 1] != '\n';
    out.insert(at, (glued ? "\n" : "") + std::string(kKey) + " = [" + toml_quoted(line) + "]\n\n");
    return out;
  }
  const std::size_t close = closing_bracket(text, at);
  std::size_t last = close;  // behind the last item
  while (last > 0 && (text[last - 1] == ' ' || text[last - 1] == '\n' || text[last - 1] == '\r' || text[last - 1] == '\t')) --last;
  const bool empty = last > 0 && text[last - 1] == '[', comma = last > 0 && text[last - 1] == ',';
  out.insert(last, (empty ? "" : comma ? " " : ", ") + toml_quoted(line));
  return out;
}

Status keep_amendment(const std::string& folder, std::string_view line) {
  auto files = gather_spec_files(folder);
  if (!files) return files.error();
  const auto before = parse_spec(*files, folder);
  if (!before) return before.error();
  const std::string text = with_amendment(files->at(kFile), line);
  files->at(kFile) = text;
  const auto after = parse_spec(*files, folder);
  MachineSpec wanted = *before;
  wanted.amendments.emplace_back(line);
  if (!after || !same(*after, wanted)) return bad_input("the correction can't be put into this file by a program", Place{folder + "/" + kFile, 0, 0}, "add it by hand: amendments = [" + toml_quoted(line) + "]");
  return write_file(folder + "/" + kFile, text);
}

}  // namespace halfsplit::board
