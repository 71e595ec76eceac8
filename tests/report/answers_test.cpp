#include <doctest/doctest.h>

#include <sstream>

#include "report/entry.h"
#include "report/next.h"
#include "report/suspects.h"
#include "report/trouble.h"
#include "report/why.h"

using namespace halfsplit;
using report::MeaningLine;

namespace {
template <class Answer>
std::string text_of(const Answer& answer, std::size_t width = 100) {
  std::ostringstream out;
  report::print(out, answer, report::Style{false, width});
  return out.str();
}
report::Suspects two_suspects() {
  report::Suspects out;
  out.suspects.push_back({"U14", "U14", "74LS244 octal buffer", 0.834, {{"output-stuck-low", "output stuck low at U14.9 (2Y3)", 0.8}}});
  out.suspects.push_back({"U3", "U3", "74LS138 decoder", 0.1, {{"dead", "dead", 0.1}}});
  out.outside = 0.02;
  out.readings = 3;
  return out;
}
}  // namespace

TEST_CASE("a reading is told against what was expected") {
  CHECK(report::sentence({"U5.8 (/OE)", "DC volts", "4.31 V", MeaningLine::Verdict::low, "4.75 to 5.25 V", ""}) == "U5.8 (/OE)  4.31 V: low, 4.75 to 5.25 V expected.");
  CHECK(report::sentence({"U5.8", "probe", "pulsing", MeaningLine::Verdict::as_expected, "pulsing", "warm"}) == "U5.8  pulsing: as it should be (warm).");
}

TEST_CASE("suspects as JSON have the documented keys") {
  const Json json = report::json_of(two_suspects());
  REQUIRE(json.find("schema"));
  CHECK(*json.find("schema")->text() == "halfsplit/suspects/1");
  const auto& list = *json.find("suspects")->items();
  REQUIRE(list.size() == 2);
  CHECK(*list[0].find("site")->text() == "U14");
  CHECK(*list[0].find("part")->text() == "U14");
  CHECK(*list[0].find("p")->real() == doctest::Approx(0.834));
  CHECK(*(*list[0].find("modes")->items())[0].find("mode")->text() == "output-stuck-low");
  CHECK(*json.find("outside")->real() == doctest::Approx(0.02));
  CHECK(parse_json(json.dump()).ok());
}

TEST_CASE("suspects as text number them and tell the mass outside") {
  const std::string text = text_of(two_suspects());
  CHECK(text.find(" 1  U14  83 %") != std::string::npos);
  CHECK(text.find("output stuck low at U14.9 (2Y3)") != std::string::npos);
  CHECK(text.find("2.0 % that none of these explains it all.") != std::string::npos);
}

TEST_CASE("a stop is the first line of every answer") {
  report::Suspects stopped = two_suspects();
  stopped.slip.stops.push_back("Switch off and unplug now: +5V reads 6.03 V, its limit is 5.25 V.");
  stopped.slip.bench = "U4 out";
  const std::string text = text_of(stopped);
  CHECK(text.find("STOP  Switch off and unplug now: +5V reads 6.03 V") == 0);
  CHECK(text.find("Bench: U4 out") != std::string::npos);
  CHECK(report::json_of(stopped).find("stops")->items()->size() == 1);
}

TEST_CASE("a test is told with hand moves first and each outcome with its meaning") {
  report::Next next;
  next.act = report::Next::Act::measure;
  next.reason = "tells U14 from U3";
  report::TestLine test;
  test.point = "U14.9";
  test.point_title = "U14.9 (2Y3), net D3";
  test.kind = "probe";
  test.steps = {"power off", "pull U14", "power on"};
  test.minutes = 3;
  test.outcomes = {{"pulsing", 0.6, "U14 to 92 %"}, {"low", 0.4, "U3 to 80 %"}};
  test.type_in = "halfsplit read U14.9 pulsing";
  test.caution = "mains near";
  next.tests.push_back(test);
  const std::string text = text_of(next);
  CHECK(text.find("Caution: mains near") < text.find("First power off, pull U14, power on."));
  CHECK(text.find("Probe U14.9 (2Y3), net D3  (3 min)") != std::string::npos);
  CHECK(text.find("pulsing  60 %  U14 to 92 %") != std::string::npos);
  const Json json = report::json_of(next);
  const Json& row = (*json.find("tests")->items())[0];
  for (const char* key : {"point", "kind", "setup", "minutes", "bits", "outcomes"}) CHECK(row.find(key) != nullptr);
  CHECK(*(*row.find("outcomes")->items())[1].find("means")->text() == "U3 to 80 %");
}

TEST_CASE("weights of evidence are told as odds") {
  CHECK(report::weight_words(0.1) == "says nothing");
  CHECK(report::weight_words(10) == "10 to 1 for");
  CHECK(report::weight_words(-3) == "2 to 1 against");
  CHECK(report::weight_words(900) == "over 100,000 to 1 for");
}

TEST_CASE("an error keeps place and hint in both forms") {
  const Error error = bad_input("unknown key \"vlaue\"", {"parts.toml", 3, 7}, "did you mean value?");
  CHECK(text_of(error) == "error: parts.toml:3:7: unknown key \"vlaue\"\n  did you mean value?\n");
  const Json json = report::json_of(error);
  CHECK(*json.find("code")->text() == "bad_input");
  CHECK(*json.find("line")->integer() == 3);
  CHECK(*json.find("hint")->text() == "did you mean value?");
}
