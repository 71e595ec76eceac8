#include <doctest/doctest.h>

#include "job/case.h"

using namespace halfsplit;
using namespace halfsplit::job;

namespace {
constexpr char kWhole[] = R"(format 1
title Home 8, no picture
machine osprill-home-8
revision 2

# found without its lead
amend missing J5
symptom no picture, but the tone sounds
expect suspect U14 within 10
  read U14.18 stuck low
expect suspect U14 first at-least 0.6
read U99.1 low
expect error no part U99
close proven U14 output-stuck-low: killed
)";

Error refusal(std::string_view text) {
  const auto out = read_case(text, "a.case");
  REQUIRE_FALSE(out.ok());
  CHECK(out.error().code == ErrorCode::bad_input);
  return out.error();
}
}  // namespace

TEST_CASE("a case is its head and its steps in order") {
  const auto read = read_case(kWhole, "a.case");
  REQUIRE_MESSAGE(read.ok(), (read.ok() ? "" : read.error().text()));
  CHECK(read->title == "Home 8, no picture");
  CHECK(read->machine == "osprill-home-8");
  CHECK(read->revision == "2");
  REQUIRE(read->steps.size() == 8);
  CHECK(read->steps[0].line()->kind == LineKind::amend);
  CHECK(read->steps[1].line()->typed == "no picture, but the tone sounds");
  CHECK(read->steps[2].expectation()->within == 10);
  CHECK(read->steps[3].line()->typed == "U14.18 stuck low");
  CHECK(read->steps[3].place.text() == "a.case:10:3");
  CHECK(expected_error(*read, 3) == nullptr);
  REQUIRE(expected_error(*read, 5));
  CHECK(expected_error(*read, 5)->subject == "no part U99");
  CHECK(expected_error(*read, 7) == nullptr);
}

TEST_CASE("a written case reads as the same case") {
  const auto first = read_case(kWhole, "a.case");
  REQUIRE(first.ok());
  const std::string text = write_case(*first);
  const auto second = read_case(text, "b.case");
  REQUIRE(second.ok());
  CHECK(write_case(*second) == text);
  REQUIRE(second->steps.size() == first->steps.size());
  for (std::size_t i = 0; i < first->steps.size(); ++i) CHECK(first->steps[i].what == second->steps[i].what);
}

TEST_CASE("line ends and a byte order mark make no difference") {
  std::string dos = "\xef\xbb\xbf";
  for (const char c : std::string(kWhole)) dos += c == '\n' ? std::string("\r\n") : std::string(1, c);
  const auto read = read_case(dos, "a.case");
  REQUIRE(read.ok());
  CHECK(write_case(*read) == write_case(*read_case(kWhole, "a.case")));
  const auto last = read_case("format 1\nmachine m\nread U5.8 low", "a.case");
  REQUIRE(last.ok());
  CHECK(last->steps.at(0).line()->typed == "U5.8 low");
}

TEST_CASE("mistakes are placed and the nearest word is named") {
  const Error word = refusal("format 1\nmachine m\n\n  raed U5.8 low\n");
  CHECK(word.place.text() == "a.case:4:3");
  CHECK(word.message == "\"raed\" begins no statement");
  CHECK(word.hint == "did you mean read?");
  const Error expectation = refusal("format 1\nmachine m\nread U5.8 low\nexpect supect U14 first\n");
  CHECK(expectation.place.text() == "a.case:4:8");
  CHECK(expectation.hint == "did you mean suspect?");
  const Error column = refusal("format 1\nmachine m\nnote äöü\x01\n");
  CHECK(column.place.text() == "a.case:3:9");
}

TEST_CASE("the head is strict") {
  CHECK(refusal("").message == "doesn't begin with its format (the first line is: format 1)\na.case:1:1: names no machine (add a line: machine and its id)");
  CHECK(refusal("machine m\nread U5.8 low\n").place.text() == "a.case:1:1");
  CHECK(refusal("format 2\nmachine m\n").message == "format \"2\" can't be read");
  CHECK(refusal("format 1\nmachine m\nmachine n\n").message == "machine a second time");
  CHECK(refusal("format 1\nformat 1\nmachine m\n").message == "format a second time");
  CHECK(refusal("format 1\nmachine m\nread U5.8 low\ntitle late\n").message == "title after the first step");
  CHECK(refusal("format 1\nmachine\n").place.text() == "a.case:2:8");
  CHECK(refusal("format 1\nread U5.8 low\n").message == "names no machine");
}

TEST_CASE("an expected error stands behind a line") {
  CHECK(refusal("format 1\nmachine m\nexpect error none\n").message == "an error is expected of no line");
  CHECK(refusal("format 1\nmachine m\nread U1 low\nexpect error a\nexpect error b\n").place.text() == "a.case:5:1");
}

TEST_CASE("up to twenty mistakes are told and the rest counted") {
  std::string text = "format 1\nmachine m\n";
  for (int i = 0; i < 30; ++i) text += "nonsense here\n";
  const std::string message = refusal(text).message;
  CHECK(message.find("a.case:22:1") != std::string::npos);
  CHECK(message.find("a.case:23:1") == std::string::npos);
  CHECK(message.find("and 10 more") != std::string::npos);
}

TEST_CASE("hostile text is refused with its place") {
  CHECK(refusal(std::string_view("format 1\nmachine m\nnote a\0b\n", 28)).message == "a control character (00)");
  CHECK(refusal("format 1\nmachine \xff\n").message.starts_with("not UTF-8"));
  CHECK(refusal("format 1\nmachine m\nnote " + std::string(5000, 'x') + "\n").place.text() == "a.case:3:1");
  CHECK(refusal(std::string((std::size_t{8} << 20) + 1, '\n')).message == "is over 8 MiB");
  CHECK(read_case("format 1\nmachine m\nnote " + std::string(4096, 'x') + "\n", "a.case").ok());
}

TEST_CASE("a job becomes a case without times") {
  Job job;
  job.title = "bench trainer";
  job.machine = "osprill-primer";
  job.revision = "1";
  Line reading = make_line(LineKind::read, "U5.8 low", "2026-11-25T10:00:00Z").value();
  reading.records.push_back({"observation", "U5.8: probe low", "{}"});
  job.lines = {make_line(LineKind::profile, "recent-build").value(), reading, make_line(LineKind::close, "proven U5").value()};
  const std::string text = write_case(case_of(job));
  CHECK(text == "format 1\ntitle bench trainer\nmachine osprill-primer\nrevision 1\n\nprofile recent-build\nread U5.8 low\nclose proven U5\n");
  CHECK(read_case(text, "job.case").ok());
}

TEST_CASE("a case that is not there is not found") { CHECK(load_case("no/such/thing.case").error().code == ErrorCode::not_found); }
