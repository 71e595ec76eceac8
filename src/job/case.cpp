#include "job/case.h"

#include <fmt/core.h>

#include <array>

#include "base/file.h"
#include "base/scan.h"
#include "base/text.h"

namespace halfsplit::job {
namespace {

constexpr std::string_view kFormat = "1";
/// A line of a job at its longest, and its command word.
constexpr std::size_t kLongestStatement = kLongestLine + 64;
constexpr std::array<std::string_view, 4> kHead = {"format", "machine", "revision", "title"};

std::vector<std::string> all_statements() {
  std::vector<std::string> out(kHead.begin(), kHead.end());
  out.insert(out.end(), line_words().begin(), line_words().end());
  out.emplace_back("expect");
  return out;
}

/// One statement: its word, the rest, and where they stand.
struct Statement {
  std::string_view word, rest;
  Place at_word, at_rest;
};

class CaseReader {
 public:
  CaseReader(std::string_view text, const std::string& file) : text_(text), file_(file) {}

  Result<Case> read() {
    if (text_.size() > kMostDocumentBytes) return bad_input("is over 8 MiB", place(0, 0), "a case is the log of one repair: is it the right file?");
    std::string_view rest = text_;
    if (starts_with(rest, "\xef\xbb\xbf")) rest.remove_prefix(3);
    while (!rest.empty()) {
      const std::size_t end = std::min(rest.find('\n'), rest.size());
      ++line_;
      read_line(rest.substr(0, end));
      rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    if (!seen_format_) errors_.add(bad_input("doesn't begin with its format", place(1, 1), "the first line is: format 1"));
    if (out_.machine.empty()) errors_.add(bad_input("names no machine", place(1, 1), "add a line: machine and its id"));
    if (!errors_.empty()) return errors_.joined();
    return std::move(out_);
  }

 private:
  Place place(std::uint32_t line, std::uint32_t column) const {
    Place out;
    out.file = file_;
    out.line = line;
    out.column = column;
    return out;
  }
  Place place_in(std::string_view line, std::size_t offset) const { return place(line_, place_at(line, offset, file_).column); }

  void read_line(std::string_view line) {
    if (ends_with(line, "\r")) line.remove_suffix(1);
    if (const Status clean = check_text(line); !clean) return errors_.add(clean.error());
    const std::string_view body = trim(line);
    if (body.empty() || body.front() == '#') return;
    const std::size_t begin = static_cast<std::size_t>(body.data() - line.data());
    const std::size_t length = std::min(body.find_first_of(" \t"), body.size());
    Statement statement;
    statement.word = body.substr(0, length);
    statement.rest = trim(body.substr(length));
    statement.at_word = place_in(line, begin);
    statement.at_rest = statement.rest.empty() ? place_in(line, begin + length) : place_in(line, static_cast<std::size_t>(statement.rest.data() - line.data()));
    take(statement);
  }

  /// UTF-8 without control characters, not too long.
  Status check_text(std::string_view line) const {
    if (line.size() > kLongestStatement) return bad_input(fmt::format("the line has {} bytes; at most {} are read", line.size(), kLongestStatement), place(line_, 1), "one statement a line");
    if (const std::size_t good = utf8_length(line); good != line.size()) return bad_input("not UTF-8", place_in(line, good), "save the file as UTF-8");
    for (std::size_t i = 0; i < line.size(); ++i) {
      const auto byte = static_cast<unsigned char>(line[i]);
      if ((byte < 0x20 && byte != '\t') || byte == 0x7f) return bad_input(fmt::format("a control character ({:02x})", byte), place_in(line, i), "a case is plain text");
    }
    return Done{};
  }

  void take(const Statement& statement) {
    if (!seen_format_) return take_format(statement);
    if (statement.word == "expect") return take_expectation(statement);
    for (const std::string_view head : kHead)
      if (statement.word == head) return take_head(statement);
    if (const auto kind = line_kind(statement.word)) return take_line(*kind, statement);
    const auto near = did_you_mean(statement.word, all_statements());
    errors_.add(bad_input(fmt::format("{} begins no statement", in_quotes(statement.word)), statement.at_word,
                          near ? fmt::format("did you mean {}?", *near) : join(all_statements(), " ")));
  }

  /// A wrong format is one error, not twenty.
  void take_format(const Statement& statement) {
    seen_format_ = true;
    if (statement.word != "format") {
      errors_.add(bad_input("doesn't begin with its format", statement.at_word, "the first line is: format 1"));
      return take(statement);
    }
    if (statement.rest != kFormat) errors_.add(bad_input(fmt::format("format {} can't be read", in_quotes(statement.rest)), statement.at_rest, "this program reads format 1"));
  }

  void take_head(const Statement& statement) {
    std::string& value = statement.word == "machine" ? out_.machine : statement.word == "revision" ? out_.revision : out_.title;
    if (statement.word == "format" || !value.empty()) return errors_.add(bad_input(fmt::format("{} a second time", statement.word), statement.at_word, "once, at the top"));
    if (!out_.steps.empty()) return errors_.add(bad_input(fmt::format("{} after the first step", statement.word), statement.at_word, "it belongs to the head, at the top"));
    if (statement.rest.empty()) return errors_.add(bad_input(fmt::format("nothing follows {}", statement.word), statement.at_rest));
    value = statement.rest;
  }

  void take_line(LineKind kind, const Statement& statement) {
    auto line = make_line(kind, statement.rest);
    if (!line) return errors_.add(bad_input(line.error().message, statement.at_rest, line.error().hint));
    add({statement.at_word, *std::move(line)});
  }

  void take_expectation(const Statement& statement) {
    auto expectation = parse_expectation(statement.rest);
    if (!expectation) return errors_.add(bad_input(expectation.error().message, statement.at_rest, expectation.error().hint));
    const bool error = expectation->what == Expectation::What::error;
    if (error && (out_.steps.empty() || !out_.steps.back().line()))
      return errors_.add(bad_input("an error is expected of no line", statement.at_word, "expect error stands right behind the line that is refused"));
    add({statement.at_word, *std::move(expectation)});
  }

  void add(Step step) { out_.steps.push_back(std::move(step)); }

  std::string_view text_;
  const std::string& file_;
  std::uint32_t line_ = 0;
  bool seen_format_ = false;
  Case out_;
  Errors errors_;
};

void write_head(std::string& out, std::string_view word, const std::string& value) {
  if (!value.empty()) out += fmt::format("{} {}\n", word, value);
}

}  // namespace

Result<Case> read_case(std::string_view text, const std::string& file) { return CaseReader(text, file).read(); }

Result<Case> load_case(const std::string& path) {
  const auto text = read_file(path);
  if (!text) return text.error();
  return read_case(*text, path);
}

std::string write_case(const Case& written) {
  std::string out = fmt::format("format {}\n", kFormat);
  write_head(out, "title", written.title);
  write_head(out, "machine", written.machine);
  write_head(out, "revision", written.revision);
  out += "\n";
  for (const Step& step : written.steps) {
    if (const Line* line = step.line()) out += fmt::format("{} {}\n", name_of(line->kind), line->typed);
    else out += fmt::format("expect {}\n", write_expectation(*step.expectation()));
  }
  return out;
}

Case case_of(const Job& job) {
  Case out;
  out.machine = job.machine;
  out.revision = job.revision;
  out.title = job.title;
  for (const Line& line : job.lines) {
    Line bare = line;
    bare.when.clear();
    bare.records.clear();
    out.steps.push_back({{}, std::move(bare)});
  }
  return out;
}

const Expectation* expected_error(const Case& of, std::size_t step) {
  if (step + 1 >= of.steps.size()) return nullptr;
  const Expectation* next = of.steps[step + 1].expectation();
  return next && next->what == Expectation::What::error ? next : nullptr;
}

}  // namespace halfsplit::job
