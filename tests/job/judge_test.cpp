#include "bench.h"
#include "job/judge.h"

using namespace halfsplit;
using namespace halfsplit::job;

namespace {

fault::Suspect suspect(const char* name, double p, std::vector<fault::ModeShare> modes = {}) {
  fault::Suspect out;
  out.name = name;
  out.p = p;
  out.modes = std::move(modes);
  return out;
}

fault::Ranking ranking() {
  fault::Ranking out;
  out.suspects = {suspect("U2", 0.5, {{"output-dead", "", 0.1}, {"output-stuck-low", "U2.18", 0.4}}), suspect("U1", 0.2), suspect("R1", 0.2 + 1e-15), suspect("track at U2.2", 0.05)};
  out.outside = 0.05;
  return out;
}

std::vector<fault::Test> tests(const board::Machine& machine) {
  fault::Test leg, net;
  leg.query.point.at = observe::Point::At::leg;
  leg.query.point.pin = machine.find_pin("U2.18").value();
  net.query.point.at = observe::Point::At::net;
  net.query.point.net = machine.find_net("CLK").value();
  net.query.kind = observe::Kind::volts_dc;
  return {leg, net};
}

std::string judged(const char* text) {
  const auto machine = bench::machine();
  return complaint(parse_expectation(text).value(), ranking(), tests(*machine), *machine).value_or("met");
}

}  // namespace

TEST_CASE("expectations that are met") {
  for (const char* text : {"suspect U2 first", "suspect u2 first mode output-stuck-low", "suspect U2 at-least 0.5 at-most 0.5", "suspect U1 within 2", "suspect R1 within 2", "suspect U99 at-most 0.01",
                           "outside at-most 0.05", "outside at-least 0.05", "next U2.18 by probe", "next net CLK by volts-dc within 2"}) {
    CAPTURE(text);
    CHECK(judged(text) == "met");
  }
}

TEST_CASE("expectations that are not met say what there is") {
  CHECK(judged("suspect U1 first") == "U1 is suspect number 2, expected within 1; foremost: U2 0.5, U1 0.2, R1 0.2");
  CHECK(judged("suspect J1 within 9") == "J1 is not among the suspects; foremost: U2 0.5, U1 0.2, R1 0.2");
  CHECK(judged("suspect U2 at-least 0.6") == "U2 has 0.5, expected at least 0.6");
  CHECK(judged("suspect U2 at-most 0.4") == "U2 has 0.5, expected at most 0.4");
  CHECK(judged("suspect J1 at-least 0.1") == "J1 has 0, expected at least 0.1");
  CHECK(judged("suspect U2 mode output-dead") == "the likeliest mode of U2 is output-stuck-low, expected output-dead");
  CHECK(judged("suspect U1 mode output-dead") == "no mode of U1 is known");
  CHECK(judged("outside at-most 0.01") == "what lies outside has 0.05, expected at most 0.01");
  CHECK(judged("next net CLK by volts-dc") == "net CLK by volts-dc is not proposed; proposed: U2.18 (1Y0) by probe");
  CHECK(judged("next U2.18 by volts-dc within 5").starts_with("U2.18 by volts-dc is not proposed"));
  CHECK(judged("next U99.1 by probe").find("U99") != std::string::npos);
  const auto machine = bench::machine();
  CHECK(complaint(parse_expectation("next U2.18 by probe").value(), {}, {}, *machine) == "U2.18 by probe is not proposed; nothing is");
  CHECK(complaint(parse_expectation("suspect U2 first").value(), {}, {}, *machine) == "U2 is not among the suspects; there are no suspects");
}

TEST_CASE("an expected error is met by a refusal that holds its words") {
  const auto expected = parse_expectation("error no part U99").value();
  const Error right = not_found("there is no part U99", "did you mean U9?"), wrong = usage("what?");
  CHECK_FALSE(error_complaint(expected, &right).has_value());
  CHECK(error_complaint(expected, &wrong).has_value());
  CHECK(error_complaint(expected, nullptr) == "the line was taken, expected the error \"no part U99\"");
}

TEST_CASE("ranks are shared by suspects that are equally probable") {
  const auto machine = bench::machine();
  CHECK(rank_of("U2", ranking(), *machine) == 1);
  CHECK(rank_of("U1", ranking(), *machine) == 2);
  CHECK(rank_of("R1", ranking(), *machine) == 2);
  CHECK(rank_of("track at U2.2", ranking(), *machine) == 4);
  CHECK_FALSE(rank_of("U99", ranking(), *machine).has_value());
}
