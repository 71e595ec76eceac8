#include <doctest/doctest.h>

#include "job/job.h"

using namespace halfsplit;
using namespace halfsplit::job;

namespace {
Line line(LineKind kind, std::string_view typed) {
  const auto made = make_line(kind, typed);
  REQUIRE_MESSAGE(made.ok(), (made.ok() ? "" : made.error().text()));
  return made.value();
}
std::string refusal(LineKind kind, std::string_view typed) {
  const auto made = make_line(kind, typed);
  if (made.ok()) return {};
  CHECK(made.error().code == ErrorCode::usage);
  CHECK_FALSE(made.error().hint.empty());
  return made.error().message;
}
}  // namespace

TEST_CASE("command words and kinds are one to one") {
  CHECK(line_words().size() == 14);
  for (const std::string& word : line_words()) {
    const auto kind = line_kind(word);
    REQUIRE(kind.has_value());
    CHECK(name_of(*kind) == word);
  }
  CHECK_FALSE(line_kind("reads").has_value());
  CHECK_FALSE(line_kind("").has_value());
}

TEST_CASE("a line keeps what was typed") {
  CHECK(line(LineKind::read, "  U5.8 4,31 V \t").typed == "U5.8 4,31 V");
  CHECK(line(LineKind::note, "one\r\ntwo\tthree").typed == "one  two three");
  CHECK(line(LineKind::symptom, "картинка 'x'; DROP TABLE jobs; -- \"").typed == "картинка 'x'; DROP TABLE jobs; -- \"");
  CHECK(make_line(LineKind::read, "U5.8 low", "2026-11-25T10:00:00Z")->when == "2026-11-25T10:00:00Z");
}

TEST_CASE("what is no text is refused") {
  CHECK(refusal(LineKind::read, "") == "nothing follows read");
  CHECK(refusal(LineKind::read, " \n ") == "nothing follows read");
  CHECK(refusal(LineKind::note, std::string_view("a\0b", 3)) == "the note holds a control character (byte 2: 00)");
  CHECK(refusal(LineKind::note, "a\x1b[31m") == "the note holds a control character (byte 2: 1b)");
  CHECK(refusal(LineKind::note, "ab\xff") == "the note is not plain text: byte 3 is not UTF-8");
  CHECK(refusal(LineKind::note, std::string(4097, 'x')) == "the note has 4097 bytes; at most 4096 are kept");
  CHECK(line(LineKind::note, std::string(4096, 'x')).typed.size() == 4096);
}

TEST_CASE("lines with a syntax of the job's own are checked") {
  CHECK(refusal(LineKind::profile, "agd") == "there is no profile \"agd\"");
  CHECK(make_line(LineKind::profile, "agd").error().hint == "did you mean aged?");
  CHECK(refusal(LineKind::answer, "jp1") == "\"jp1\" is not an answer");
  CHECK(refusal(LineKind::close, "prven") == "\"prven\" is no way for a job to end");
  CHECK(make_line(LineKind::close, "prven").error().hint == "did you mean proven?");
}

TEST_CASE("options are read off the lines and the last word counts") {
  std::vector<Line> lines;
  CHECK(options_of(lines).profile == Profile::aged);
  lines.push_back(line(LineKind::profile, "recent-build"));
  lines.push_back(line(LineKind::answer, "jp1 open"));
  lines.push_back(line(LineKind::answer, "jp2 1-2"));
  lines.push_back(line(LineKind::amend, "missing U8"));
  lines.push_back(line(LineKind::read, "U5.8 low"));
  lines.push_back(line(LineKind::amend, "wire U3.4 U7.2 # bodge"));
  lines.push_back(line(LineKind::answer, "jp1 closed"));
  lines.push_back(line(LineKind::tools, "meter, probe and scope"));
  const Options options = options_of(lines);
  CHECK(options.profile == Profile::recent_build);
  CHECK(options.answers == std::vector<Answer>{{"jp1", "closed"}, {"jp2", "1-2"}});
  REQUIRE(options.answer("jp1"));
  CHECK(*options.answer("jp1") == "closed");
  CHECK(options.answer("jp3") == nullptr);
  CHECK(options.amendments == std::vector<std::string>{"missing U8", "wire U3.4 U7.2 # bodge"});
  CHECK(options.tools == std::vector<std::string>{"meter", "probe", "scope"});
}

TEST_CASE("what need not work and what stays is read off the lines") {
  std::vector<Line> lines = {line(LineKind::want, "tape-out no"), line(LineKind::leave, "C12: bulging but holds"), line(LineKind::want, "Tape-Out yes"),
                             line(LineKind::want, "recording on tape NO"), line(LineKind::cannot, "U5.8: under the shield"), line(LineKind::cannot, "scope")};
  lines[1].when = "2026-11-25T10:00:00Z";
  const Options options = options_of(lines);
  CHECK(options.wants == std::vector<Want>{{"Tape-Out", true}, {"recording on tape", false}});
  CHECK(options.left == std::vector<Left>{{"C12", "bulging but holds", "2026-11-25T10:00:00Z"}});
  CHECK(options.cannot == std::vector<std::string>{"U5.8: under the shield", "scope"});
  CHECK(refusal(LineKind::want, "tape-out") == "\"tape-out\" doesn't say whether it is wanted");
  CHECK(refusal(LineKind::want, "no") == "\"no\" doesn't say whether it is wanted");
  CHECK(refusal(LineKind::leave, "C12") == "\"C12\" doesn't say what stays and why");
  CHECK(refusal(LineKind::leave, ": why") == "\": why\" doesn't say what stays and why");
}

TEST_CASE("a closed job takes notes and comes back") {
  Job job;
  job.id = {3};
  const Line reading = line(LineKind::read, "U5.8 low"), note = line(LineKind::note, "owner rang");
  const Line proven = line(LineKind::close, "proven U14"), back = line(LineKind::close, "came-back");
  CHECK(may_add(job, reading).ok());
  CHECK(may_add(job, back).error().message == "job 3 isn't closed: it can't come back");
  job.lines.push_back(line(LineKind::close, "waiting: for a 74LS244"));
  CHECK(may_add(job, reading).ok());
  job.lines.push_back(proven);
  CHECK(may_add(job, reading).error().message == "job 3 is closed (proven)");
  CHECK(may_add(job, proven).error().code == ErrorCode::usage);
  CHECK(may_add(job, note).ok());
  CHECK(may_add(job, back).ok());
  job.lines.push_back(note);
  CHECK_FALSE(may_add(job, reading).ok());
  job.lines.push_back(back);
  CHECK(may_add(job, reading).ok());
  CHECK(job.ending().outcome == Outcome::came_back);
}

TEST_CASE("a symptom may name its function in front") {
  const auto told = [](const char* typed) { return symptom_in(make_line(LineKind::symptom, typed).value()); };
  CHECK(told("no picture").about.empty());
  CHECK(told("no picture").words == "no picture");
  CHECK(told("--about picture it is odd").about == "picture");
  CHECK(told("--about  picture   it is odd").words == "it is odd");
  CHECK(told("--about picture").words.empty());
  CHECK(told("it is --about picture").about.empty());
}
